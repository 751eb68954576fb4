// Generated from package api by `go generate ./web/api`. Do not edit.

export interface About {
  version: string;
  rulebook: string;
  profiles: readonly Choice[];
  materials: readonly Choice[];
  forms: { [key: string]: readonly string[] };
  teeth: readonly ToothName[];
  sites: readonly string[];
  terms: { [key: string]: { [key: string]: string } };
}

export interface Area {
  teeth: readonly number[];
  kind: "extension" | "bounded";
}

export interface CaseFile {
  format: "case/1";
  case?: string;
  title?: string;
  arch: "upper" | "lower";
  profile?: string;
  teeth?: { [key: string]: Tooth };
  tissues?: Tissues;
  patient?: Patient;
  opposing?: Opposing;
  survey?: Survey;
  scan?: Scan;
  design?: Design;
  set_aside?: readonly SetAside[];
  order?: Order;
  returned?: Returned;
}

export interface Cast {
  key: string;
  mounted: boolean;
  scan: string;
  origin: string;
  spread_mm: number;
  vertices: number;
  triangles: number;
  frame: readonly [readonly [number, number, number], readonly [number, number, number], readonly [number, number, number], readonly [number, number, number]];
  min: readonly [number, number, number];
  max: readonly [number, number, number];
  teeth: readonly CastTooth[];
  lines: readonly CastLine[];
  report: readonly string[];
  trouble?: string;
}

export interface CastLine {
  name: string;
  closed: boolean;
  points: readonly (readonly [number, number, number])[];
}

export interface CastTooth {
  tooth: number;
  point: readonly [number, number, number];
  margin: readonly (readonly [number, number, number])[];
  confidence: number;
  given: boolean;
  corrected: boolean;
}

export interface Choice {
  name: string;
  label: string;
}

export interface Class {
  text: { [key: string]: string };
  class: string;
  modifications: number;
  areas: readonly Area[];
  notes: { [key: string]: readonly string[] };
}

export interface Column {
  head: string;
  figure: boolean;
}

export interface Design {
  parts: readonly Part[];
}

export interface Failure {
  error: string;
  head?: number;
  problems?: readonly Problem[];
}

export interface Finding {
  rule: string;
  severity: "stop" | "caution" | "note";
  status: "failed" | "borderline" | "not-checked";
  tooth: number;
  surface: string;
  part: string;
  found: string;
  asked: string;
  message: string;
  why: string;
  sources: readonly Source[];
  remedy: string;
  missing: readonly string[];
  aside: string;
  aside_by: string;
}

export interface Gap {
  field: string;
  part: string;
  tooth: number;
  text: string;
  rule: string;
}

export interface HandUndercut {
  mm: number;
  above_margin_mm?: number;
}

export interface Issue {
  number: number;
  name: string;
  digest: string;
  at: string;
  by: string;
}

export interface Judged {
  findings: readonly Finding[];
  checked: number;
  not_checked: number;
  stops: number;
  cautions: number;
}

export interface Laid {
  parts: readonly LaidPart[];
  support_fulcrum: readonly (readonly [number, number, number])[];
  retentive_fulcrum: readonly (readonly [number, number, number])[];
}

export interface LaidCurve {
  role: string;
  closed: boolean;
  points: readonly (readonly [number, number, number])[];
  width: readonly number[];
}

export interface LaidPart {
  id: string;
  number: number;
  kind: string;
  curves: readonly LaidCurve[];
  patches: readonly LaidPatch[];
  measures: readonly LaidRead[];
  short: readonly Shortfall[];
  tip: LaidTip | null;
}

export interface LaidPatch {
  role: string;
  outline: readonly (readonly [number, number, number])[];
  holes: readonly (readonly (readonly [number, number, number])[])[];
}

export interface LaidRead {
  name: string;
  label: string;
  value: number;
  unit: string;
  spread: number;
  origin: string;
  tooth: number;
  from: readonly [number, number, number];
  to: readonly [number, number, number];
  set: string;
}

export interface LaidTip {
  point: readonly [number, number, number];
  site: string;
  undercut_mm: number;
  above_margin_mm: number;
  slope_deg: number;
}

export interface Listed {
  case: string;
  title: string;
  arch: string;
  class: string;
  created: string;
  changed: string;
}

export interface Measured {
  name: string;
  label: string;
  value: number;
  unit: string;
  spread: number;
  origin: string;
}

export interface MoveTip {
  part: string;
  point: readonly [number, number, number];
}

export interface NewCase {
  arch: "upper" | "lower";
  title: string;
}

export interface OnTop {
  base: number;
  to?: number;
}

export interface Opposing {
  kind?: "natural" | "complete-denture" | "partial-denture" | "implant" | "mixed";
}

export interface Order {
  jurisdiction?: string;
  revision?: number;
  fields?: { [key: string]: string };
  queries?: readonly Query[];
}

export interface OrderField {
  number: number;
  name: string;
  label: string;
  text: string;
  code: string;
  entered: boolean;
  need: "optional" | "legal" | "needed" | "conditional";
  choices: readonly Choice[];
  lines: boolean;
}

export interface OrderForm {
  number: string;
  revision: number;
  state: string;
  jurisdiction: string;
  jurisdictions: readonly Choice[];
  fields: readonly OrderField[];
  gaps: readonly Gap[];
  parts: readonly OrderPart[];
  issued: readonly Issue[];
}

export interface OrderPart {
  number: number;
  id: string;
  title: string;
  where: string;
  material: string;
  sizes: readonly string[];
}

export interface Part {
  id: string;
  kind: "rest" | "retainer" | "reciprocation" | "guide-plate" | "minor-connector" | "major-connector" | "base" | "tissue-stop" | "finish-line" | "replacement-tooth";
  tooth?: number;
  teeth?: readonly number[];
  form?: string;
  site?: "mesial" | "distal" | "lingual";
  role?: "primary" | "indirect" | "auxiliary";
  surface?: "mesial" | "distal" | "lingual" | "facial";
  undercut?: PartUndercut;
  material?: string;
  gauge_mm?: number;
  at?: readonly number[];
  joins?: string;
  support?: "extension" | "bounded";
  attachment?: "lattice" | "mesh" | "beads" | "posts";
  side?: "internal" | "external";
  dimensions?: { [key: string]: number };
  note?: string;
}

export interface PartUndercut {
  site: "mesio-facial" | "mid-facial" | "disto-facial" | "mesio-lingual" | "mid-lingual" | "disto-lingual";
  mm: number;
}

export interface Patient {
  allergies?: readonly string[];
  smile_line?: "low" | "medium" | "high";
  gag?: boolean;
  dexterity?: "good" | "poor";
  caries_risk?: "low" | "medium" | "high";
  hygiene?: "good" | "poor";
  dry_mouth?: boolean;
  bruxism?: boolean;
  epilepsy?: boolean;
}

export interface PlaceTooth {
  base: number;
  tooth: number;
  point: readonly [number, number, number] | null;
  margin: readonly (readonly [number, number, number])[] | null;
  remove: boolean;
  confirm: boolean;
  frame: readonly [readonly [number, number, number], readonly [number, number, number], readonly [number, number, number], readonly [number, number, number]] | null;
}

export interface Plan {
  origin: string;
  teeth: readonly PlanTooth[];
  lines: readonly PlanLine[];
}

export interface PlanLine {
  name: string;
  closed: boolean;
  points: readonly (readonly [number, number])[];
}

export interface PlanTooth {
  tooth: number;
  standing: boolean;
  outline: readonly (readonly [number, number])[];
  margin: readonly (readonly [number, number])[];
  middle: readonly [number, number];
}

export interface Probe {
  point: readonly [number, number, number];
  tooth: number;
  depth_mm: number;
  above_margin_mm: number | null;
  slope_deg: number;
}

export interface Problem {
  field: string;
  text: string;
}

export interface Progress {
  step?: string;
  share?: number;
  count?: number;
  done?: unknown;
  failed?: Failure;
  status?: number;
}

export interface Proposal {
  rank: number;
  profile: string;
  title: string;
  parts: readonly Part[];
  reasons: readonly Reason[];
  findings: readonly Finding[];
  stops: number;
  cautions: number;
  prepared: number;
  measures: readonly Measured[];
  apart: readonly string[];
  decide: readonly string[];
  laid: readonly LaidPart[];
}

export interface Proposals {
  class: string;
  proposals: readonly Proposal[];
}

export interface Query {
  part?: string;
  asked: string;
  by?: string;
  at?: string;
  answer?: string;
  answered_by?: string;
  answered_at?: string;
}

export interface Reason {
  part: string;
  rule: string;
  because: string;
  sources: readonly Source[];
  rejected: readonly Rejected[];
}

export interface Reckoned {
  says: readonly string[];
  tables: readonly Table[];
  mend: readonly string[];
  assumed: readonly string[];
}

export interface Rejected {
  form: string;
  because: string;
}

export interface Returned {
  rest_gap_mm?: number;
  difference_mm?: number;
  absent?: readonly string[];
}

export interface Ridge {
  left?: "firm" | "flabby" | "flat";
  right?: "firm" | "flabby" | "flat";
}

export interface Save {
  base: number;
  label: string;
  case: CaseFile;
}

export interface Scan {
  file: string;
  unit?: "mm" | "cm" | "m" | "inch";
  points?: { [key: string]: readonly [number, number, number] };
  margins?: { [key: string]: readonly (readonly [number, number, number])[] };
  proposed?: readonly number[];
}

export interface SetAside {
  rule: string;
  tooth?: number;
  surface?: string;
  part?: string;
  reason: string;
  by?: string;
  at?: string;
}

export interface Shortfall {
  measure: string;
  wanted: number;
  got: number;
  why: string;
  tooth: number;
}

export interface Sign {
  base: number;
  by: string;
  language: string;
  arch: string;
}

export interface SiteRead {
  site: string;
  max_mm: number;
  contour_mm: number;
  quarter_above_mm: number | null;
  half_above_mm: number | null;
  quarter_slope_deg: number | null;
  gauge_mm: number | null;
}

export interface Source {
  key: string;
  cite: string;
  mark: string;
  grade: string;
}

export interface State {
  case: CaseFile;
  revision: number;
  undo: string;
  redo: string;
  changed: string;
  class: Class;
  cast_key: string;
  surface_key: string;
  numbering: string;
}

export interface Step {
  revision: number;
  parent: number;
  label: string;
  at: string;
  head: boolean;
}

export interface Survey {
  tilt?: Tilt;
  undercuts?: { [key: string]: { [key: string]: HandUndercut } };
}

export interface SurveyLine {
  closed: boolean;
  tooth: number;
  points: readonly (readonly [number, number, number])[];
}

export interface Surveyed {
  anterior_deg: number;
  right_deg: number;
  direction: readonly [number, number, number];
  resolution_mm: number;
  max_mm: number;
  lines: readonly SurveyLine[];
  teeth: readonly ToothSites[];
  assumed: readonly string[];
  seconds: number;
}

export interface Table {
  title: string;
  columns: readonly Column[];
  rows: readonly (readonly string[])[];
}

export interface Tilt {
  anterior_deg: number;
  right_deg: number;
}

export interface TiltMap {
  within_deg: number;
  paths: readonly TiltScore[];
  best: TiltScore;
  candidates: readonly TiltScore[];
  seconds: number;
}

export interface TiltScore {
  anterior_deg: number;
  right_deg: number;
  score: number;
  why: string;
}

export interface TissueUndercut {
  depth: number;
  below_margin: number;
}

export interface Tissues {
  floor_depth_mm?: { [key: string]: number };
  floor_is_functional?: boolean;
  vestibule_depth_mm?: { [key: string]: number };
  tissue_undercut_mm?: { [key: string]: TissueUndercut };
  frenum_near?: readonly number[];
  lingual_frenum?: "low" | "high";
  tori?: readonly Torus[];
  ridge?: Ridge;
  vibrating_line_mm?: number;
  flabby_front?: boolean;
}

export interface Tooth {
  state?: "present" | "missing" | "extract" | "pontic" | "implant" | "root" | "closed";
  replace?: boolean;
  abutment?: boolean;
  mobility?: number;
  bone_loss_percent?: number;
  crown_root_ratio?: number;
  tilt_deg?: number;
  tilt_toward?: "mesial" | "distal" | "facial" | "lingual";
  rotation_deg?: number;
  root_filled?: boolean;
  crown?: "none" | "metal" | "ceramic" | "survey";
  caries?: "none" | "treated" | "active";
  periodontal?: "healthy" | "treated" | "active";
  prognosis?: "good" | "doubtful" | "hopeless";
  rest_seat?: "none" | "present";
  seat_material?: "enamel" | "gold" | "alloy" | "amalgam" | "composite" | "ceramic" | "dentine";
  probing_mm?: number;
  furcation?: number;
  crown_height_mm?: number;
  mesial_contact?: "free" | "blocked";
  opposing_room_mm?: number;
  arm_room_mm?: number;
  extracted_months?: number;
  diastema?: boolean;
  note?: string;
}

export interface ToothName {
  tooth: number;
  universal: number;
  spoken: string;
  kind: number;
}

export interface ToothSites {
  tooth: number;
  sites: readonly SiteRead[];
}

export interface Torus {
  place: "lingual" | "palatal";
  teeth?: readonly number[];
  size?: "small" | "large";
  operable?: boolean;
  to_vibrating_mm?: number;
}

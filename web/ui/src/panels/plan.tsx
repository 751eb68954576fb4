import type { ComponentChildren } from 'preact';
import type { CaseFile, Plan } from '../api/wire';
import { otherName, toothFigure, toothName } from '../record/teeth';
import { type Arch, onPlan, type PlanPoint, teethOf } from '../units/units';
import { t } from '../words/words';

/** Where a tooth is drawn: its outline on the plan and its middle, in millimetres. */
export interface Spot {
  readonly tooth: number;
  readonly outline: readonly PlanPoint[];
  readonly middle: PlanPoint;
}

/** Crown widths used while no cast is there yet, in millimetres, from the midline backwards. */
const sketchWidths = [7, 6.5, 7.5, 7, 7, 10.5, 10, 9] as const;

/** A bare row of teeth, shown until the case's own cast is there. */
function sketch(arch: Arch): readonly Spot[] {
  const place = (d: number, side: number): PlanPoint => {
    const s = sketchWidths.slice(0, d - 1).reduce<number>((a, b) => a + b, 0) + (sketchWidths[d - 1] ?? 8) / 2;
    const angle = s / 36; // along a half-ellipse that is 54 mm wide and 46 mm deep
    const y = 24 - 46 * Math.cos(angle);
    return [side * 28 * Math.sin(angle), arch === 'upper' ? y : -y];
  };
  return teethOf(arch).map((n) => {
    const d = n % 10;
    const q = Math.floor(n / 10);
    const middle = place(d, q === 1 || q === 4 ? -1 : 1);
    const r = (sketchWidths[d - 1] ?? 8) / 2.2;
    const outline = Array.from({ length: 16 }, (_, i): PlanPoint => {
      const a = (i / 16) * 2 * Math.PI;
      return [middle[0] + r * Math.cos(a), middle[1] + r * Math.sin(a)];
    });
    return { tooth: n, outline, middle };
  });
}

/** The places of all sixteen teeth: from the cast where it has them. */
export function spots(arch: Arch, plan: Plan | null): readonly Spot[] {
  const bare = sketch(arch);
  if (!plan) return bare;
  return bare.map((s) => {
    const p = plan.teeth.find((x) => x.tooth === s.tooth);
    if (!p) return s;
    return { tooth: s.tooth, outline: p.outline.map((q) => onPlan(arch, q)), middle: onPlan(arch, p.middle) };
  });
}

export const d = (points: readonly PlanPoint[], closed = true) =>
  points.length === 0 ? '' : `M${points.map((p) => `${p[0].toFixed(2)} ${p[1].toFixed(2)}`).join('L')}${closed ? 'Z' : ''}`;

/** Where a tooth's numbers stand: outside its outline, away from the middle of the arch. */
function labelAt(s: Spot, centre: PlanPoint, off: number): PlanPoint {
  const v = [s.middle[0] - centre[0], s.middle[1] - centre[1]] as const;
  const l = Math.hypot(...v) || 1;
  const reach = Math.max(...s.outline.map((p) => ((p[0] - s.middle[0]) * v[0] + (p[1] - s.middle[1]) * v[1]) / l));
  return [s.middle[0] + (v[0] / l) * (reach + off), s.middle[1] + (v[1] / l) * (reach + off)];
}

/** A tooth in words, as read aloud: its numbers, name, what stands there. */
export function toothWords(c: CaseFile, n: number): string {
  const f = c.teeth?.[n];
  const state = f?.state ?? 'present';
  const kind = t(`kind.${(n % 10) as 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8}`);
  const gone = state === 'missing' || state === 'extract' || state === 'root';
  const replaced = gone ? `, ${t(isReplaced(c, n) ? 'chart.replaced' : 'chart.notreplaced')}` : '';
  return `${toothName(n)} (${otherName(n)}), ${kind}, ${t(`tooth.state.${state}`)}${replaced}`;
}

export function isReplaced(c: CaseFile, n: number): boolean {
  const f = c.teeth?.[n];
  const state = f?.state ?? 'present';
  if (state !== 'missing' && state !== 'extract' && state !== 'root') return false;
  return f?.replace ?? n % 10 !== 8;
}

/**
 * The arch as the clinician sees it. Teeth are buttons: one of them is in the tab order and
 * the arrow keys go from tooth to tooth.
 */
export function ArchPlan(props: {
  c: CaseFile;
  plan: Plan | null;
  chosen: number | null;
  choose: (tooth: number) => void;
  onKey?: (tooth: number, e: KeyboardEvent) => void;
  label: string;
  /** Drawn under the teeth. */
  under?: ComponentChildren;
  /** Drawn over the teeth. */
  children?: ComponentChildren;
  teethPassive?: boolean;
  svgRef?: (el: SVGSVGElement | null) => void;
}) {
  const arch = props.c.arch;
  const all = spots(arch, props.plan);
  const xs = all.flatMap((s) => s.outline.map((p) => p[0]));
  const ys = all.flatMap((s) => s.outline.map((p) => p[1]));
  const pad = 11;
  const box = [
    Math.min(...xs) - pad,
    Math.min(...ys) - pad,
    Math.max(...xs) - Math.min(...xs) + 2 * pad,
    Math.max(...ys) - Math.min(...ys) + 2 * pad,
  ] as const;
  const centre: PlanPoint = [0, (Math.min(...ys) + Math.max(...ys)) / 2 + (arch === 'upper' ? 4 : -4)];
  const row = teethOf(arch);
  const inTab = props.chosen && row.includes(props.chosen) ? props.chosen : row[0];
  const key = (n: number, e: KeyboardEvent) => {
    const step = { ArrowRight: 1, ArrowLeft: -1, ArrowDown: arch === 'lower' ? 1 : -1, ArrowUp: arch === 'lower' ? -1 : 1 }[e.key];
    const i = row.indexOf(n);
    // Up and down follow the reader's eye: on the right half of the page the row runs the other way.
    const turn = (e.key === 'ArrowUp' || e.key === 'ArrowDown') && i >= 8 ? -1 : 1;
    const next = e.key === 'Home' ? row[0] : e.key === 'End' ? row.at(-1) : step ? row[i + step * turn] : undefined;
    if (next) {
      e.preventDefault();
      props.choose(next);
      const svg = (e.currentTarget as SVGElement).ownerSVGElement;
      (svg?.querySelector(`[data-tooth="${next}"]`) as SVGElement | null)?.focus();
      return;
    }
    if (e.key === 'Enter' || e.key === ' ') {
      e.preventDefault();
      props.choose(n);
    }
    props.onKey?.(n, e);
  };
  return (
    <svg class="plan" viewBox={box.join(' ')} ref={props.svgRef ?? null} role="group" aria-label={props.label}>
      <text class="side" x={box[0] + 2} y={arch === 'upper' ? box[1] + box[3] - 2 : box[1] + 5} text-anchor="start">
        {t('side.right')}
      </text>
      <text class="side" x={box[0] + box[2] - 2} y={arch === 'upper' ? box[1] + box[3] - 2 : box[1] + 5} text-anchor="end">
        {t('side.left')}
      </text>
      {props.under}
      {all.map((s) => {
        const f = props.c.teeth?.[s.tooth];
        const state = f?.state ?? 'present';
        const at = labelAt(s, centre, 4.6);
        const replaced = isReplaced(props.c, s.tooth);
        const shape = (
          <>
            <path class="crown" d={d(s.outline)} />
            {(state === 'extract' || state === 'root') && <path class="cross" d={cross(s)} />}
            {state === 'missing' && !replaced && <path class="cross thin" d={cross(s)} />}
            {state === 'closed' && <path class="cross thin" d={`M${s.middle[0] - 2} ${s.middle[1]}h4`} />}
            {state === 'pontic' && (
              <text x={s.middle[0]} y={s.middle[1] + 1.2} class="inside">
                P
              </text>
            )}
            {state === 'implant' && (
              <text x={s.middle[0]} y={s.middle[1] + 1.2} class="inside">
                I
              </text>
            )}
            {noted(f) && <circle class="dot" cx={s.middle[0]} cy={s.middle[1]} r="0.9" />}
            <text class="own" x={at[0]} y={at[1] + 0.6}>
              {toothFigure(s.tooth)}
            </text>
            <text class="other" x={at[0]} y={at[1] + 3.2}>
              {otherName(s.tooth)}
            </text>
          </>
        );
        const cls = `tooth ${state}${replaced ? ' replaced' : ''}${props.chosen === s.tooth ? ' chosen' : ''}`;
        if (props.teethPassive) {
          return (
            <g key={s.tooth} class={cls}>
              {shape}
            </g>
          );
        }
        return (
          <g
            key={s.tooth}
            class={cls}
            role="button"
            tabindex={inTab === s.tooth ? 0 : -1}
            data-tooth={s.tooth}
            aria-label={toothWords(props.c, s.tooth)}
            aria-pressed={props.chosen === s.tooth}
            onClick={() => props.choose(s.tooth)}
            onKeyDown={(e) => key(s.tooth, e)}
          >
            <circle class="target" cx={s.middle[0]} cy={s.middle[1]} r="5" />
            {shape}
          </g>
        );
      })}
      {props.children}
    </svg>
  );
}

const cross = (s: Spot) => `M${s.middle[0] - 2.4} ${s.middle[1] - 2.4}l4.8 4.8m0 -4.8l-4.8 4.8`;

/** Whether anything besides its state is known of a tooth. */
function noted(f: NonNullable<CaseFile['teeth']>[string] | undefined): boolean {
  return f !== undefined && Object.keys(f).some((k) => k !== 'state' && k !== 'replace');
}

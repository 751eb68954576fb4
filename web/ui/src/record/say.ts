import type { CaseFile, Tooth } from '../api/wire';
import { type Arch, fromUniversal, teethOf } from '../units/units';
import { withState, withTooth } from './edits';

/** What a typed line asks for, or why it cannot be understood. */
export type Said =
  | { readonly change: (c: CaseFile) => CaseFile; readonly teeth: readonly number[]; readonly what: string }
  | { readonly no: 'teeth' | 'words' | 'arch'; readonly at: string };

const states: { readonly [word: string]: NonNullable<Tooth['state']> } = {
  missing: 'missing',
  fehlt: 'missing',
  fehlen: 'missing',
  gone: 'missing',
  present: 'present',
  vorhanden: 'present',
  extract: 'extract',
  extrahieren: 'extract',
  pontic: 'pontic',
  brückenglied: 'pontic',
  implant: 'implant',
  implantat: 'implant',
  root: 'root',
  wurzel: 'root',
  closed: 'closed',
  geschlossen: 'closed',
};

const corners: { readonly [corner: string]: number } = { ur: 10, ul: 20, ll: 30, lr: 40 };

/**
 * Reads a line such as "36 37 missing", "36-38 fehlen", "34 mobility 1", "38 not replaced".
 * Teeth have their two digits of ISO 3950, or are numbered as the case numbers them; "#19"
 * is of the Universal system and "LL6" of Zsigmondy's in every case. A range runs along the
 * arch and may cross the midline.
 */
export function say(arch: Arch, line: string, numbering = 'fdi'): Said {
  // Among the teeth a comma parts them; after the first word it is a decimal one.
  const teethFirst = /^(?:\s*(?:#?\d+|[ul][lr]\d)(?=[\s,–-]|$)[\s,–-]*)*/i.exec(line)?.[0] ?? '';
  const head = teethFirst.replaceAll(',', ' ').replace(/\s*[-–]\s*(?=\S)/g, '-');
  const words = `${head} ${line.slice(teethFirst.length)}`.toLowerCase().split(/\s+/).filter(Boolean);
  const row = teethOf(arch);
  const teeth: number[] = [];
  let i = 0;
  for (; i < words.length; i++) {
    const w = words[i] ?? '';
    const m = /^(#?\d{1,2}|[ul][lr][1-8])(?:-(#?\d{1,2}|[ul][lr][1-8]))?$/.exec(w);
    if (!m) break;
    const a = row.indexOf(tooth(m[1] ?? '', numbering));
    const b = m[2] ? row.indexOf(tooth(m[2], numbering)) : a;
    if (a < 0 || b < 0) return { no: 'arch', at: w };
    for (let k = Math.min(a, b); k <= Math.max(a, b); k++) teeth.push(row[k] ?? 0);
  }
  if (teeth.length === 0) return { no: 'teeth', at: words[0] ?? '' };
  const rest = words.slice(i).join(' ');
  const each = (f: (c: CaseFile, n: number) => CaseFile) => ({ teeth, what: rest, change: (c: CaseFile) => teeth.reduce(f, c) });
  const state = states[rest];
  if (state) return each((c, n) => withState(c, n, state));
  if (rest === 'not replaced' || rest === 'nicht ersetzen')
    return each((c, n) => withTooth(withState(c, n, 'missing'), n, { replace: false }));
  if (rest === 'replace' || rest === 'ersetzen') return each((c, n) => withTooth(withState(c, n, 'missing'), n, { replace: true }));
  const m = /^(?:mobility|lockerung) ([0-3])$/.exec(rest);
  if (m) return each((c, n) => withTooth(c, n, { mobility: Number(m[1]) }));
  const t = /^(?:tilt|kippung) (\d+(?:[.,]\d+)?)$/.exec(rest);
  if (t) return each((c, n) => withTooth(c, n, { tilt_deg: Number((t[1] ?? '').replace(',', '.')) }));
  return { no: 'words', at: rest };
}

/** The tooth of ISO 3950 that a word names. */
function tooth(word: string, numbering: string): number {
  const corner = corners[word.slice(0, 2)];
  if (corner) return corner + Number(word.slice(2));
  if (word.startsWith('#')) return fromUniversal(Number(word.slice(1)));
  return numbering === 'universal' ? fromUniversal(Number(word)) : Number(word);
}

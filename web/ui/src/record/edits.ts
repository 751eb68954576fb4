import type { CaseFile, Part, Tooth } from '../api/wire';

/** Sets fields of one tooth; undefined takes a field back to not known. */
export function withTooth(c: CaseFile, n: number, set: Partial<{ [K in keyof Tooth]: Tooth[K] | undefined }>): CaseFile {
  const tooth = pruned({ ...(c.teeth?.[n] ?? {}), ...set }) as Tooth;
  const teeth = { ...(c.teeth ?? {}) };
  if (Object.keys(tooth).length === 0) delete teeth[n];
  else teeth[n] = tooth;
  return { ...c, teeth };
}

/** Findings that make no sense once a tooth is gone go with it. */
export function withState(c: CaseFile, n: number, state: NonNullable<Tooth['state']>): CaseFile {
  const gone = state === 'missing' || state === 'closed';
  const old = c.teeth?.[n];
  const keep: Tooth = gone ? (old?.note ? { note: old.note } : {}) : { ...(old ?? {}) };
  if (state !== 'missing' && state !== 'extract' && state !== 'root') delete keep.replace;
  if (gone) delete keep.abutment;
  const cleared = { ...c, teeth: { ...(c.teeth ?? {}), [n]: keep } };
  return withTooth(cleared, n, { state: state === 'present' ? undefined : state });
}

/** Sets fields of an optional section, leaving the section out where it is empty. */
export function withSection<K extends 'tissues' | 'patient' | 'opposing' | 'survey' | 'order'>(
  c: CaseFile,
  key: K,
  set: { [F in keyof NonNullable<CaseFile[K]>]?: NonNullable<CaseFile[K]>[F] | undefined },
): CaseFile {
  const next = pruned({ ...(c[key] ?? {}), ...set });
  const out = { ...c };
  if (Object.keys(next).length === 0) delete out[key];
  else out[key] = next as NonNullable<CaseFile[K]>;
  return out;
}

/** Sets one number in a map by tooth; undefined removes it. */
export function withDepth(map: { [key: string]: number } | undefined, n: number, v: number | undefined) {
  const out = { ...(map ?? {}) };
  if (v === undefined) delete out[n];
  else out[n] = v;
  return Object.keys(out).length ? out : undefined;
}

export function withPart(c: CaseFile, p: Part): CaseFile {
  const parts = c.design?.parts ?? [];
  const at = parts.findIndex((q) => q.id === p.id);
  return { ...c, design: { parts: at < 0 ? [...parts, p] : parts.with(at, p) } };
}

export function withoutPart(c: CaseFile, id: string): CaseFile {
  return { ...c, design: { parts: (c.design?.parts ?? []).filter((p) => p.id !== id) } };
}

/** Drops what is undefined or empty. */
export function pruned<T extends object>(o: T): T {
  return Object.fromEntries(Object.entries(o).filter(([, v]) => v !== undefined && v !== '')) as T;
}

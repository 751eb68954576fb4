/** A point on the cast, in the cast frame, in millimetres. */
export type CastPoint = readonly [x: number, y: number, z: number];

/** A point on the plan of an arch, in millimetres: x to the reader's right, y down the page. */
export type PlanPoint = readonly [x: number, y: number] & { readonly frame?: 'plan' };

/** A point on the screen, in CSS pixels from the view's top left corner. */
export type ScreenPoint = readonly [x: number, y: number] & { readonly frame: 'screen' };

export type Degrees = number;

export type Arch = 'upper' | 'lower';

/**
 * The cast seen by the clinician: the patient's right on the reader's left; front teeth at
 * the top of the page in the upper arch and at the bottom in the lower.
 */
export function onPlan(arch: Arch, p: readonly [number, number, ...number[]]): PlanPoint {
  return arch === 'upper' ? [p[0], -p[1]] : [-p[0], p[1]];
}

/** The way back from the plan to x and y in the cast frame. */
export function fromPlan(arch: Arch, p: PlanPoint): readonly [number, number] {
  return arch === 'upper' ? [p[0], -p[1]] : [-p[0], p[1]];
}

/** All sixteen teeth of an arch from the patient's right third molar to the left. */
export function teethOf(arch: Arch): readonly number[] {
  const [right, left] = arch === 'upper' ? [10, 20] : [40, 30];
  return [8, 7, 6, 5, 4, 3, 2, 1].map((d) => right + d).concat([1, 2, 3, 4, 5, 6, 7, 8].map((d) => left + d));
}

/** The tooth of ISO 3950 that the Universal system numbers u, 1 to 32; 0 for any other number. */
export function fromUniversal(u: number): number {
  if (u < 1 || u > 32) return 0;
  return u <= 8 ? 19 - u : u <= 16 ? 12 + u : u <= 24 ? 55 - u : 16 + u;
}

/** A depth's name on surveyors' gauges, as in 0.010 in. */
export function inches(mm: number): string {
  return `0.${String(Math.round(mm / 0.0254 / 5) * 5).padStart(3, '0')} in`;
}

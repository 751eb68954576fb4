import { batch, computed, signal } from '@preact/signals';
import type { CastPoint } from '../units/units';
import { withSection } from './edits';
import { edit, theCase } from './record';

export interface Tilt {
  readonly anterior: number;
  readonly right: number;
}

/** The path while it is being dragged; null when it stands still. */
export const live = signal<Tilt | null>(null);
/** The path that the survey is asked for: follows the live one at a pace the server can keep. */
const asked = signal<Tilt | null>(null);

/** The path that the case holds. */
export const chosenTilt = computed<Tilt>(() => {
  const t = theCase.value?.survey?.tilt;
  return { anterior: t?.anterior_deg ?? 0, right: t?.right_deg ?? 0 };
});

/** The path that is shown. */
export const tilt = computed<Tilt>(() => live.value ?? chosenTilt.value);

/** The path that is surveyed. */
export const surveyTilt = computed<Tilt>(() => asked.value ?? chosenTilt.value);

/** Half a degree is as fine as a surveying table is set. */
export const step = 0.5;
const limit = 30;

const bound = (v: number) => Math.max(-limit, Math.min(limit, Math.round(v * 10) / 10));

let pace = 0;

/** Moves the live path; the survey follows behind. */
export function drag(t: Tilt) {
  live.value = { anterior: bound(t.anterior), right: bound(t.right) };
  if (!pace) {
    pace = window.setTimeout(() => {
      pace = 0;
      if (live.value) asked.value = live.value;
    }, 160);
  }
}

/** Lets go of the live path: it becomes the case's. */
export function drop() {
  const t = live.peek();
  batch(() => {
    if (t) setTilt(t);
    release();
  });
}

/** Lets go of the live path without choosing it. */
export function release() {
  clearTimeout(pace);
  pace = 0;
  live.value = null;
  asked.value = null;
}

export function setTilt(t: Tilt) {
  const next = { anterior_deg: bound(t.anterior), right_deg: bound(t.right) };
  edit('tilt', (c) => withSection(c, 'survey', { tilt: next }));
}

export function nudge(anterior: number, right: number) {
  setTilt({ anterior: chosenTilt.peek().anterior + anterior, right: chosenTilt.peek().right + right });
}

/** The unit vector that the denture is lifted off along, in the cast frame. */
export function direction(arch: 'upper' | 'lower', t: Tilt): CastPoint {
  const tan = (deg: number) => Math.tan((deg * Math.PI) / 180);
  const x = (arch === 'upper' ? -1 : 1) * tan(t.right);
  const y = tan(t.anterior);
  const l = Math.hypot(x, y, 1);
  return [x / l, y / l, 1 / l];
}

import { useLayoutEffect, useRef, useState } from 'preact/hooks';
import type { Cast } from '../api/wire';
import { place } from '../record/record';
import { toothName } from '../record/teeth';
import type { Eye } from '../scene/view';
import type { CastPoint, ScreenPoint } from '../units/units';
import { t } from '../words/words';

/** Points while they are being moved. */
export interface Draft {
  readonly points: readonly CastPoint[];
  /** What they were moved from. */
  readonly of: unknown;
  /** They were handed over, and what becomes of them is on its way. */
  readonly done: boolean;
}

/**
 * A draft of points that lie as something says. It is over when what it was handed over for
 * has come; what comes of other things while the hand is still at it does not take it away.
 * Of another name, or of another number of points, it is of no use.
 */
export function useMoved(name: string, of: unknown, rest: readonly CastPoint[]) {
  const [draft, set] = useState<Draft | null>(null);
  const named = useRef(name);
  const over = draft !== null && (named.current !== name || draft.points.length !== rest.length || (draft.done && draft.of !== of));
  useLayoutEffect(() => {
    named.current = name;
    if (over) set(null);
  });
  return {
    points: draft && !over ? draft.points : rest,
    move: (points: readonly CastPoint[]) => set({ points, of, done: false }),
    hand: (points: readonly CastPoint[]) => set({ points, of, done: true }),
    drop: () => set(null),
  };
}

/**
 * Points that lie over a view and are moved along the surface, with the pointer or, when one
 * has the focus, with the arrow keys; Enter or letting go takes them over.
 */
export function Handles(props: {
  eye: Eye;
  points: readonly CastPoint[];
  label: (i: number) => string;
  move: (points: readonly CastPoint[]) => void;
  done: (points: readonly CastPoint[]) => void;
  drop: () => void;
}) {
  const held = useRef<number | null>(null);
  const now = useRef(props.points);
  now.current = props.points;
  const to = (i: number, p: ScreenPoint) => {
    const hit = props.eye.scene.pick(p);
    if (!hit) return;
    now.current = now.current.with(i, hit.point);
    props.move(now.current);
  };
  return (
    <div class="handles">
      {props.points.map((p, i) => {
        const s = props.eye.scene.project(p);
        return (
          <button
            key={i}
            type="button"
            class="handle"
            aria-label={props.label(i)}
            style={{ left: `${s[0]}px`, top: `${s[1]}px` }}
            onPointerDown={(e) => {
              held.current = i;
              e.currentTarget.setPointerCapture(e.pointerId);
              e.stopPropagation();
            }}
            onPointerMove={(e) => {
              if (held.current !== i) return;
              e.stopPropagation();
              const r = e.currentTarget.parentElement?.parentElement?.getBoundingClientRect();
              to(i, [e.clientX - (r?.left ?? 0), e.clientY - (r?.top ?? 0)] as unknown as ScreenPoint);
            }}
            onPointerUp={(e) => {
              if (held.current !== i) return;
              e.stopPropagation();
              held.current = null;
              props.done(now.current);
            }}
            onPointerCancel={() => {
              if (held.current !== i) return;
              held.current = null;
              props.drop();
            }}
            onKeyDown={(e) => {
              const by = ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] } as const)[e.key as 'ArrowLeft'];
              if (by) {
                e.preventDefault();
                e.stopPropagation();
                const k = e.shiftKey ? 8 : 2;
                to(i, [s[0] + by[0] * k, s[1] + by[1] * k] as unknown as ScreenPoint);
              } else if (e.key === 'Enter') {
                e.preventDefault();
                e.stopPropagation();
                props.done(now.current);
              } else if (e.key === 'Escape') props.drop();
            }}
          />
        );
      })}
    </div>
  );
}

const marginHandles = 14;

/** The gingival margin of one tooth, corrected by a few points of it. */
export function MarginHandles({ eye, cast, tooth }: { eye: Eye; cast: Cast | null; tooth: number }) {
  const margin = cast?.teeth.find((x) => x.tooth === tooth)?.margin ?? [];
  const rest = Array.from({ length: marginHandles }, (_, i) => margin[Math.floor((i * margin.length) / marginHandles)] as CastPoint);
  // A point that moved the cast moved it from under the hand, too.
  const moved = useMoved(`${tooth} ${cast?.frame.flat()}`, margin, rest);
  useLayoutEffect(() => {
    eye.scene.setLines('chosen', 'margin', [{ points: moved.points === rest ? margin : rounded(moved.points), closed: true }]);
  }, [moved.points === rest ? margin : moved.points]);
  if (!cast || margin.length < 6) return null;
  return (
    <Handles
      eye={eye}
      points={moved.points}
      label={(i) => t('cast.margin.handle', { tooth: toothName(tooth), i: i + 1, n: rest.length })}
      move={moved.move}
      done={(points) => {
        moved.hand(points);
        void place(cast, { tooth, margin: rounded(points) }).then((taken) => taken || moved.drop());
      }}
      drop={moved.drop}
    />
  );
}

/** A closed line through the points that has no corners (Catmull and Rom's spline). */
export function rounded(points: readonly CastPoint[], pieces = 6): readonly CastPoint[] {
  const n = points.length;
  const at = (i: number) => points[(i + n) % n] as CastPoint;
  return points.flatMap((_, i) =>
    Array.from({ length: pieces }, (_, k): CastPoint => {
      const s = k / pieces;
      const [a, b, c, d] = [at(i - 1), at(i), at(i + 1), at(i + 2)];
      const mix = (j: 0 | 1 | 2) =>
        0.5 *
        (2 * b[j] + (c[j] - a[j]) * s + (2 * a[j] - 5 * b[j] + 4 * c[j] - d[j]) * s * s + (3 * b[j] - a[j] - 3 * c[j] + d[j]) * s * s * s);
      return [mix(0), mix(1), mix(2)];
    }),
  );
}

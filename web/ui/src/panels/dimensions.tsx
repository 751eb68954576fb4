import { ask } from '../api/calls';
import type { LaidPart, LaidRead, Part } from '../api/wire';
import { withPart } from '../record/edits';
import { edit, theCase } from '../record/record';
import { toothName } from '../record/teeth';
import { fault } from '../record/word';
import type { Eye } from '../scene/view';
import type { CastPoint } from '../units/units';
import { num, t } from '../words/words';
import { Handles, useMoved } from './handles';

/** Dragging a border's end by less than this changes nothing, in millimetres. */
const fine = 0.05;

const minus = (a: CastPoint, b: CastPoint) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]] as const;
const dot = (a: readonly [number, number, number], b: readonly [number, number, number]) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/** What a dimension becomes when its end is dragged from where it lies to a point. */
export function dragged(m: LaidRead, to: CastPoint): number {
  const along = minus(m.to, m.from);
  const l = Math.hypot(...along) || 1;
  return Math.max(0, Math.round((m.value + dot(minus(to, m.to), along) / l) * 20) / 20);
}

/** The ends of the chosen part's dimensions and its tip, to be dragged along the cast. */
export function DimensionHandles({ eye, part }: { eye: Eye; part: LaidPart }) {
  const sizes = part.measures.filter((m) => m.set && Math.hypot(...minus(m.to, m.from)) > 0.01);
  const rest: readonly CastPoint[] = [...sizes.map((m) => m.to), ...(part.tip ? [part.tip.point] : [])];
  const moved = useMoved(part.id, part, rest);
  const points = moved.points;
  const done = (now: readonly CastPoint[]) => {
    const far = now.some((p, i) => Math.hypot(...minus(p, rest[i] as CastPoint)) > fine);
    if (far) moved.hand(now);
    else moved.drop();
    sizes.forEach((m, i) => {
      const v = dragged(m, now[i] as CastPoint);
      if (Math.abs(v - m.value) > fine) edit(`part ${part.id}`, (c) => withSize(c, part.id, m.set, v));
    });
    const tip = now[sizes.length];
    if (part.tip && tip && Math.hypot(...minus(tip, part.tip.point)) > fine) {
      ask<Part>('POST', `/cases/${theCase.peek()?.case}/placement/tip`, { part: part.id, point: tip })
        .then(({ undercut }) => undercut && edit(`part ${part.id}`, (c) => withTip(c, part.id, undercut)))
        .catch((e: unknown) => {
          moved.drop();
          fault(e);
        });
    }
  };
  return (
    <>
      <Handles
        eye={eye}
        points={points}
        label={(i) => {
          const m = sizes[i];
          return m
            ? `${m.label}${m.tooth ? ` (${toothName(m.tooth)})` : ''}: ${num(dragged(m, points[i] as CastPoint))} mm`
            : t('part.tip.handle');
        }}
        move={moved.move}
        done={done}
        drop={moved.drop}
      />
      <div class="over" aria-hidden="true">
        {sizes.map((m, i) => {
          const p = eye.scene.project(points[i] as CastPoint);
          return (
            <span key={`${m.name}${m.tooth}`} class="size" style={{ left: `${p[0]}px`, top: `${p[1] - 16}px` }}>
              {num(dragged(m, points[i] as CastPoint))}
            </span>
          );
        })}
      </div>
    </>
  );
}

/** What else was chosen for the part meanwhile stays. */
function withTip(c: Parameters<typeof withPart>[0], id: string, undercut: NonNullable<Part['undercut']>) {
  const p = c.design?.parts.find((q) => q.id === id);
  return p ? withPart(c, { ...p, undercut }) : c;
}

function withSize(c: Parameters<typeof withPart>[0], id: string, name: string, v: number) {
  const p = c.design?.parts.find((q) => q.id === id);
  return p ? withPart(c, { ...p, dimensions: { ...(p.dimensions ?? {}), [name]: v } }) : c;
}

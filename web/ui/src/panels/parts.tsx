import { useState } from 'preact/hooks';
import type { LaidPart, Part } from '../api/wire';
import { teethNames } from '../record/teeth';
import { type Arch, onPlan, type PlanPoint } from '../units/units';
import { named } from '../words/words';
import { d } from './plan';

/** A part in words, as in "I-bar 44". */
export function partName(p: Part): string {
  const teeth = p.tooth ? [p.tooth] : (p.at ?? p.teeth ?? []);
  const what = p.form ? named(p.kind, p.form) : p.support ? named('support', p.support) : named('kind', p.kind);
  const face = p.site ?? p.surface;
  return [p.side ? `${what}, ${named('side', p.side)}` : what, teethNames(teeth), face ? named('surface', face) : '']
    .filter(Boolean)
    .join(' ');
}

/** The parts of a design on the plan, under or over the teeth. */
export function LaidDrawing(props: {
  arch: Arch;
  laid: readonly LaidPart[];
  names: (id: string) => string;
  numbers?: ReadonlyMap<string, number>;
  chosen: string | null;
  choose?: (id: string) => void;
  grave?: ReadonlyMap<string, 'stop' | 'caution'>;
  /** The parts lie where they lay before the last edit. */
  stale?: boolean;
}) {
  const [over, setOver] = useState<string | null>(null);
  const row = props.laid.map((p) => p.id);
  const told = (p: LaidPart) => numbered.has(p.kind) || props.grave?.has(p.id) || p.id === props.chosen || p.id === over;
  // The numbers lie over all parts, and keep apart from one another.
  const bubbles = spread(
    props.laid.filter(told).flatMap((p) => {
      const at = middleOf(props.arch, p);
      return at ? [{ p, at }] : [];
    }),
  );
  const inTab = props.chosen && row.includes(props.chosen) ? props.chosen : row[0];
  const key = (id: string, e: KeyboardEvent) => {
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[e.key];
    const next = step ? row[(row.indexOf(id) + step + row.length) % row.length] : undefined;
    if (next) {
      e.preventDefault();
      props.choose?.(next);
      ((e.currentTarget as SVGElement).ownerSVGElement?.querySelector(`[data-part="${CSS.escape(next)}"]`) as SVGElement | null)?.focus();
    } else if (e.key === 'Enter' || e.key === ' ') {
      e.preventDefault();
      props.choose?.(id);
    }
  };
  return (
    <g class={`laid${props.stale ? ' stale' : ''}`}>
      {props.laid.map((p) => {
        const shape = <PartShape arch={props.arch} p={p} />;
        const cls = `part ${p.kind}${props.grave?.has(p.id) ? ' grave' : ''}${props.chosen === p.id ? ' chosen' : ''}`;
        if (!props.choose) {
          return (
            <g key={p.id} class={cls}>
              {shape}
            </g>
          );
        }
        return (
          <g
            key={p.id}
            class={cls}
            role="button"
            tabindex={inTab === p.id ? 0 : -1}
            data-part={p.id}
            aria-label={props.names(p.id)}
            aria-pressed={props.chosen === p.id}
            onClick={() => props.choose?.(p.id)}
            onKeyDown={(e) => key(p.id, e)}
            onPointerEnter={() => setOver(p.id)}
            onPointerLeave={() => setOver(null)}
            onFocus={() => setOver(p.id)}
          >
            {shape}
          </g>
        );
      })}
      {props.numbers && (
        // biome-ignore lint/a11y/noAriaHiddenOnFocusable: numbers take no focus
        <g aria-hidden="true" class="bubbles">
          {bubbles.map(({ p, at }) => {
            const grave = props.grave?.get(p.id);
            return (
              <g key={p.id} class={`bubble${props.chosen === p.id ? ' chosen' : ''}`} transform={`translate(${at[0]} ${at[1]})`}>
                <circle r="1.7" />
                <text y="0.75">{props.numbers?.get(p.id)}</text>
                {grave && (
                  <path class={grave} d={grave === 'stop' ? 'M1.2 -2.6h1l0.7 0.7v1l-0.7 0.7h-1l-0.7 -0.7v-1z' : 'M1.7 -2.7l1.1 2h-2.2z'} />
                )}
              </g>
            );
          })}
        </g>
      )}
    </g>
  );
}

/** Kinds of parts that always show their number. */
const numbered = new Set(['retainer', 'rest', 'major-connector', 'base']);

/** Pushes numbers apart that would cover one another: they are 3.4 mm wide. */
function spread<T extends { at: PlanPoint }>(all: readonly T[]): readonly T[] {
  const apart = 3.8;
  const at = all.map((b) => [b.at[0], b.at[1]] as [number, number]);
  for (let round = 0; round < 12; round++)
    for (const [i, p] of at.entries())
      for (const q of at.slice(i + 1)) {
        const [dx, dy] = [q[0] - p[0], q[1] - p[1]];
        const l = Math.hypot(dx, dy);
        if (l >= apart) continue;
        const push = (apart - l) / 2 / (l || 1);
        const [ux, uy] = l ? [dx * push, dy * push] : [0, apart / 2];
        p[0] -= ux;
        p[1] -= uy;
        q[0] += ux;
        q[1] += uy;
      }
  return all.map((b, i) => ({ ...b, at: at[i] as unknown as PlanPoint }));
}

function middleOf(arch: Arch, p: LaidPart): PlanPoint | null {
  if (p.tip) return onPlan(arch, p.tip.point);
  const line = p.patches[0]?.outline ?? p.curves[0]?.points;
  if (!line || line.length === 0) return null;
  if (p.patches[0]) {
    const sum = line.reduce<readonly [number, number]>((s, q) => [s[0] + q[0], s[1] + q[1]], [0, 0]);
    if (p.kind !== 'major-connector') return onPlan(arch, [sum[0] / line.length, sum[1] / line.length]);
  }
  return onPlan(arch, line[Math.floor(line.length / 2)] ?? [0, 0, 0]);
}

function PartShape({ arch, p }: { arch: Arch; p: LaidPart }) {
  return (
    <>
      {p.patches.map((a, i) => (
        <path
          key={`a${i}`}
          class={`patch ${a.role}`}
          fill-rule="evenodd"
          d={d(a.outline.map((q) => onPlan(arch, q))) + a.holes.map((h) => d(h.map((q) => onPlan(arch, q)))).join('')}
        />
      ))}
      {p.curves.map((c, i) => {
        const w = c.width.length ? c.width.reduce((x, y) => x + y, 0) / c.width.length : 0.6;
        const line = d(
          c.points.map((q) => onPlan(arch, q)),
          c.closed,
        );
        return (
          <g key={`c${i}`} class={`curve ${c.role}`}>
            <path class="hit" d={line} />
            <path class="line" d={line} stroke-width={Math.max(0.35, Math.min(w, 6)).toFixed(2)} />
          </g>
        );
      })}
      {p.tip && <circle class="tip" cx={onPlan(arch, p.tip.point)[0]} cy={onPlan(arch, p.tip.point)[1]} r="0.8" />}
    </>
  );
}

import type { LaidPart, Part } from '../api/wire';
import { type Arch, onPlan, type PlanPoint } from '../units/units';
import { named } from '../words/words';
import { d } from './plan';

/** A part in words, as in "I-bar 44". */
export function partName(p: Part): string {
  const teeth = p.tooth ? [p.tooth] : (p.at ?? p.teeth ?? []);
  const what = p.form ? named(p.kind, p.form) : named('kind', p.kind);
  const side = p.site ?? p.surface;
  return [what, teeth.join(' '), side ? named('surface', side) : ''].filter(Boolean).join(' ');
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
}) {
  const row = props.laid.map((p) => p.id);
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
    <g class="laid">
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
        const at = middleOf(props.arch, p);
        const grave = props.grave?.get(p.id);
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
          >
            {shape}
            {at && props.numbers && (
              <g class="bubble" transform={`translate(${at[0]} ${at[1]})`}>
                <circle r="1.7" />
                <text y="0.75">{props.numbers.get(p.id)}</text>
                {grave && (
                  <path class={grave} d={grave === 'stop' ? 'M1.2 -2.6h1l0.7 0.7v1l-0.7 0.7h-1l-0.7 -0.7v-1z' : 'M1.7 -2.7l1.1 2h-2.2z'} />
                )}
              </g>
            )}
          </g>
        );
      })}
    </g>
  );
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

import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { Judged, LaidPart, Part } from '../api/wire';
import { address, choose } from '../record/address';
import { kept, theCase } from '../record/record';
import { useThing } from '../record/things';
import { direction, tilt } from '../record/tilt';
import { useLong } from '../record/work';
import type { CastScene } from '../scene/scene';
import { CastView } from '../scene/view';
import type { CastPoint } from '../units/units';
import { num, t } from '../words/words';
import { useSurface, ViewButtons } from './cast';
import { DimensionHandles } from './dimensions';
import { Findings } from './findings';
import { Mechanics } from './mechanics';
import { AddPart, PartCard } from './part';
import { LaidDrawing, partName } from './parts';
import { ArchPlan } from './plan';
import { ProposalsView } from './proposals';

/** The design: proposed, chosen, edited and judged. */
export function DesignRoom() {
  const c = theCase.value;
  const comparing = useSignal(false);
  const solid = useSignal(false);
  const plan = useThing('plan');
  const has = (c?.design?.parts.length ?? 0) > 0;
  const saved = has && (kept.value?.case.design?.parts.length ?? 0) > 0;
  const laid = useThing('laid', saved);
  const judged = useThing('judged', saved);
  const reckoned = useThing('reckoned', saved);
  const stale = useLong(laid.busy);
  if (!c) return null;
  if (!has || comparing.value) {
    return (
      <ProposalsView
        back={has ? () => (comparing.value = false) : null}
        accepted={() => {
          comparing.value = false;
        }}
      />
    );
  }
  // Numbered as on every paper; a part that was not laid yet comes last.
  const place = new Map(laid.value?.parts.map((p) => [p.id, p.number]));
  const parts = (c.design?.parts ?? []).toSorted((a, b) => (place.get(a.id) ?? 999) - (place.get(b.id) ?? 999));
  const chosen = parts.find((p) => p.id === address.value.chosen) ?? null;
  const numbers = new Map(parts.map((p, i) => [p.id, i + 1]));
  const grave = gravest(judged.value);
  const drawn = laid.value?.parts.filter((p) => parts.some((q) => q.id === p.id)) ?? [];
  return (
    <div class="split">
      <div class="sheetarea">
        <div class="viewbar">
          <fieldset class="modes">
            <legend>{t('design.show')}</legend>
            {[false, true].map((s) => (
              <label key={String(s)}>
                <input type="radio" name="show" checked={solid.value === s} onChange={() => (solid.value = s)} />{' '}
                {t(s ? 'design.show.cast' : 'design.show.plan')}
              </label>
            ))}
          </fieldset>
          <button type="button" onClick={() => (comparing.value = true)}>
            {t('design.compare')}
          </button>
        </div>
        {solid.value ? (
          <DesignOnCast laid={drawn} chosen={chosen?.id ?? null} />
        ) : (
          <ArchPlan c={c} plan={plan.value} chosen={null} choose={() => {}} teethPassive label={t('design.plan')}>
            <LaidDrawing
              stale={stale}
              arch={c.arch}
              laid={drawn}
              names={(id) => {
                const p = parts.find((q) => q.id === id);
                return p ? `${numbers.get(id)}. ${partName(p)}` : id;
              }}
              numbers={numbers}
              chosen={chosen?.id ?? null}
              choose={(id) => choose(id)}
              grave={grave}
            />
          </ArchPlan>
        )}
        <p class="hint" aria-live="polite">
          {t(stale ? 'app.anew' : 'design.keys')}
        </p>
        <PartList parts={parts} chosen={chosen?.id ?? null} grave={grave} laid={drawn} />
        <Mechanics reckoned={reckoned.value} busy={reckoned.busy} id={c.case ?? ''} />
      </div>
      <aside class="margin">
        {chosen && <PartCard p={chosen} laid={drawn.find((q) => q.id === chosen.id) ?? null} stale={stale} />}
        {chosen && (
          <button type="button" class="plain" onClick={() => choose(null)}>
            {t('design.whole')}
          </button>
        )}
        <Findings judged={judged.value} busy={judged.busy} part={chosen?.id ?? null} />
        {!chosen && <AddPart c={c} />}
      </aside>
    </div>
  );
}

function gravest(j: Judged | null): ReadonlyMap<string, 'stop' | 'caution'> {
  const out = new Map<string, 'stop' | 'caution'>();
  for (const f of j?.findings ?? []) {
    if (!f.part || f.aside || f.status !== 'failed' || f.severity === 'note') continue;
    if (f.severity === 'stop' || !out.has(f.part)) out.set(f.part, f.severity);
  }
  return out;
}

function PartList(props: {
  parts: readonly Part[];
  chosen: string | null;
  grave: ReadonlyMap<string, 'stop' | 'caution'>;
  laid: readonly LaidPart[];
}) {
  return (
    <details class="twin" open>
      <summary>{t('design.parts')}</summary>
      <ol class="partlist">
        {props.parts.map((p, i) => {
          const q = props.laid.find((x) => x.id === p.id);
          const grave = props.grave.get(p.id);
          return (
            <li key={p.id} value={i + 1}>
              <button
                type="button"
                class="plain"
                aria-pressed={props.chosen === p.id}
                onClick={() => choose(props.chosen === p.id ? null : p.id)}
              >
                {partName(p)}
              </button>{' '}
              {p.undercut && <small>{t('design.undercut', { mm: num(p.undercut.mm) })}</small>}
              {grave && <em class={`sevword ${grave}`}>{t(`sev.${grave}`)}</em>}
              {q && q.short.length > 0 && <small class="must">{t('design.short', { n: q.short.length })}</small>}
            </li>
          );
        })}
      </ol>
    </details>
  );
}

/** The laid parts on the cast itself, where their dimensions can be dragged. */
function DesignOnCast({ laid, chosen }: { laid: readonly LaidPart[]; chosen: string | null }) {
  const c = theCase.value;
  const scene = useSignal<CastScene | null>(null);
  const drawn = useSurface(scene.value);
  useEffect(() => {
    if (scene.value && c) scene.value.setPath(direction(c.arch, tilt.value), false);
  }, [scene.value, tilt.value]);
  useEffect(() => {
    scene.value?.setMetal(laid.filter((p) => p.id !== chosen).flatMap(metal), 'all', false);
    scene.value?.setMetal(laid.filter((p) => p.id === chosen).flatMap(metal), 'one', true);
  }, [scene.value, laid, chosen, drawn]);
  if (!c) return null;
  const part = laid.find((p) => p.id === chosen) ?? null;
  return (
    <>
      <div class="viewbar">
        <span class="hint">{t('design.drag')}</span>
        <ViewButtons scene={scene.value} arch={c.arch} />
      </div>
      <CastView
        label={t('design.oncast')}
        describedBy="design-keys"
        mode="turn"
        labels={laid.flatMap((p, i) =>
          p.tip ? [{ key: p.id, at: p.tip.point as CastPoint, text: String(i + 1), chosen: p.id === chosen }] : [],
        )}
        arch={c.arch}
        onReady={(s) => {
          scene.value = s;
        }}
        onTilt={() => {}}
        onProbe={() => {}}
        onPoint={() => {}}
      >
        {(eye) => (part ? <DimensionHandles eye={eye} part={part} /> : null)}
      </CastView>
      <p class="hint" id="design-keys">
        {t('cast.keys.turn')} {t('cast.keys')}
      </p>
    </>
  );
}

function metal(p: LaidPart) {
  return [
    ...p.curves.map((k) => ({
      points: k.points as readonly CastPoint[],
      closed: k.closed,
      width: k.width.length ? k.width.reduce((a, b) => a + b, 0) / k.width.length : 0.8,
    })),
    ...p.patches.flatMap((a) => [a.outline, ...a.holes].map((o) => ({ points: o as readonly CastPoint[], closed: true, width: 0.45 }))),
  ];
}

import { useSignal } from '@preact/signals';
import { useEffect, useId, useMemo, useRef } from 'preact/hooks';
import { ask } from '../api/calls';
import type { Cast, Probe, State, Surveyed } from '../api/wire';
import { address, choose } from '../record/address';
import { edit, errand, kept, onItsWay, place, theCase } from '../record/record';
import { toothName } from '../record/teeth';
import { useThing } from '../record/things';
import { chosenTilt, direction, drag, drop, live, nudge, release, setTilt, step, tilt } from '../record/tilt';
import { fault, tell } from '../record/word';
import { work } from '../record/work';
import type { CastScene, Hit } from '../scene/scene';
import { CastView, type Label, type Mode } from '../scene/view';
import { type CastPoint, inches, teethOf } from '../units/units';
import { named, num, t } from '../words/words';
import { FileButton, Num } from './fields';
import { MarginHandles } from './handles';
import { TiltMapCard } from './tiltmap';

const modes: readonly Mode[] = ['turn', 'tilt', 'probe', 'point'];
const views = { occlusal: [180, 90], front: [180, 8], right: [90, 8], left: [270, 8], back: [0, 8], below: [180, -90] } as const;

/** The cast on the surveyor: path, undercuts, teeth and margins. */
export function CastRoom() {
  const c = theCase.value;
  const cast = useThing('cast');
  const mounted = cast.value?.mounted === true && cast.value.key === kept.value?.cast_key;
  const survey = useThing('survey', mounted);
  const depth = useThing('depth', mounted);
  const scene = useSignal<CastScene | null>(null);
  const mode = useSignal<Mode>('turn');
  const probe = useSignal<{ of: string; says: Probe } | null>(null);
  const help = useId();
  const asked = useRef(new AbortController());
  const waiting = useRef(0);
  const first = useRef(''); // the scan whose teeth had to be looked at first
  useEffect(
    () => () => {
      asked.current.abort();
      clearTimeout(waiting.current);
      release();
    },
    [],
  );
  const chosen = c ? (teethOf(c.arch).find((n) => String(n) === address.value.chosen) ?? null) : null;

  const drawn = useSurface(scene.value);
  useEffect(() => {
    if (!scene.value || !c) return;
    scene.value.setPath(direction(c.arch, tilt.value), mounted && (live.value !== null || depth.busy));
  }, [scene.value, tilt.value, depth.busy, mounted, drawn]);
  useEffect(() => {
    if (scene.value && drawn) scene.value.setDepth(!mounted || depth.busy || live.value ? null : depth.value);
  }, [scene.value, depth.value, depth.busy, live.value, drawn, mounted]);
  useEffect(() => {
    const lines = !mounted || live.value || survey.busy ? [] : (survey.value?.lines ?? []);
    scene.value?.setLines('survey', 'teeth', lines.filter((l) => l.tooth).map(lifted));
    scene.value?.setLines('tissue', 'gum', lines.filter((l) => !l.tooth).map(lifted));
  }, [scene.value, survey.value, survey.busy, live.value, mounted]);
  useEffect(() => {
    const teeth = cast.value?.teeth ?? [];
    scene.value?.setLines(
      'margin',
      'all',
      teeth.filter((x) => x.tooth !== chosen).map((x) => ({ points: x.margin, closed: true })),
    );
    scene.value?.setLines(
      'chosen',
      'margin',
      teeth.filter((x) => x.tooth === chosen).map((x) => ({ points: x.margin, closed: true })),
    );
    scene.value?.setLines('landmark', 'all', cast.value?.lines ?? []);
    scene.value?.setMarks(cast.value?.scan ? teeth.map((x) => ({ at: x.point, chosen: x.tooth === chosen })) : []);
  }, [scene.value, cast.value, chosen]);
  const labels = useMemo<readonly Label[]>(
    () => [
      ...(cast.value?.teeth ?? []).map((x) => ({
        key: `t${x.tooth}`,
        at: beside(x.point as CastPoint),
        out: outward(x.point as CastPoint),
        text: cast.value?.scan && !x.given ? `${toothName(x.tooth)}?` : toothName(x.tooth),
        chosen: x.tooth === chosen,
      })),
      ...sides(cast.value),
    ],
    [cast.value, chosen],
  );

  if (!c) return null;
  const id = c.case ?? '';
  const pointAt = (h: Hit) => {
    if (!chosen || !cast.value) {
      tell(t('cast.point.choose'));
      return;
    }
    void place(cast.value, { tooth: chosen, point: h.point });
  };
  // What is read belongs to this cast and this path only.
  const path = tilt.value;
  const reading = `anterior=${path.anterior}&right=${path.right}`;
  const probed = `${cast.value?.key} ${reading}`;
  const readProbe = (h: Hit | null) => {
    asked.current.abort();
    clearTimeout(waiting.current);
    if (!h || !mounted) {
      probe.value = null;
      return;
    }
    const stop = new AbortController();
    asked.current = stop;
    waiting.current = window.setTimeout(() => {
      ask<Probe>('GET', `/cases/${id}/probe?x=${h.point[0]}&y=${h.point[1]}&z=${h.point[2]}&${reading}`, undefined, stop.signal)
        .then((says) => {
          probe.value = { of: probed, says };
        })
        .catch(fault);
    }, 30);
  };
  // While another scan is being read, the cast before it is still in view; its teeth are not to be judged.
  const own = cast.value?.scan === (c.scan?.file ?? '') ? cast.value : null;
  // What has to be looked at first comes first.
  if (c.scan && own?.teeth.every((x) => x.given) !== true) first.current = c.scan.file;
  const unlooked = c.scan?.file === first.current; // and stays first, so that nothing changes places under the pointer
  const surveyed = survey.value !== null && mounted && !survey.busy && !live.value;
  const teeth = <TeethCard cast={own} survey={survey.value} surveyed={surveyed} chosen={chosen} scene={scene.value} />;
  const offered = modes.filter((m) => m !== 'point' || c.scan !== undefined);
  return (
    <div class="split">
      <div class="sheetarea">
        <div class="viewbar">
          <fieldset class="modes">
            <legend>{t('cast.mode')}</legend>
            {offered.map((m) => (
              <label key={m}>
                <input
                  type="radio"
                  name="mode"
                  disabled={!mounted && (m === 'tilt' || m === 'probe')}
                  checked={mode.value === m}
                  onChange={() => {
                    mode.value = m;
                  }}
                />{' '}
                {t(`cast.mode.${m}`)}
              </label>
            ))}
          </fieldset>
          <ViewButtons scene={scene.value} arch={c.arch} />
        </div>
        <CastView
          label={t('cast.view')}
          describedBy={help}
          mode={mode.value}
          labels={labels}
          arch={c.arch}
          onReady={(s) => {
            scene.value = s;
          }}
          onTilt={(a, r, done) => {
            if (done && a === 0 && r === 0) drop();
            else if (done) nudge(a, r);
            else drag({ anterior: tilt.peek().anterior + a, right: tilt.peek().right + r });
          }}
          onRelease={release}
          onProbe={readProbe}
          onPoint={pointAt}
        >
          {(eye) => (mode.value === 'point' && chosen ? <MarginHandles eye={eye} cast={cast.value} tooth={chosen} /> : null)}
        </CastView>
        {mounted && <Legend busy={depth.busy || live.value !== null} survey={survey.value} />}
        {mounted && <ProbeLine p={probe.value?.of === probed ? probe.value.says : null} />}
        <p class="hint" id={help}>
          {t(`cast.keys.${mode.value}`)} {t('cast.keys')}
        </p>
      </div>
      <aside class="margin">
        {unlooked ? teeth : <PathCard />}
        {unlooked ? <PathCard /> : teeth}
        <TiltMapCard mounted={mounted} />
        <ScanCard cast={own} />
      </aside>
    </div>
  );
}

/**
 * Keeps the cast's surface in a scene: its triangles, where they lie and whose teeth they
 * are. What it gives changes when the scene has another surface.
 */
export function useSurface(scene: CastScene | null): unknown {
  const cast = useThing('cast').value;
  const mesh = useThing('mesh').value;
  const labels = useThing('labels').value;
  const frame = cast?.frame.flat().join(' ');
  // Another scan's triangles may be here before its cast is.
  const fit = cast && mesh && new Uint32Array(mesh, 4, 1)[0] === cast.triangles ? mesh : null;
  useEffect(() => {
    if (scene && fit && cast) scene.setMesh(fit, cast.frame);
  }, [scene, fit, frame]);
  useEffect(() => {
    if (scene && fit && labels) scene.setLabels(labels);
  }, [scene, fit, frame, labels]);
  return useMemo(() => fit && {}, [fit, frame]);
}

function lifted(l: Surveyed['lines'][number]) {
  return { points: l.points as readonly CastPoint[], closed: l.closed };
}

/** Away from the middle of the arch. */
function outward(p: CastPoint): CastPoint {
  const l = Math.hypot(p[0], p[1] + 15) || 1;
  return [p[0] / l, (p[1] + 15) / l, 0];
}

/** A place beside a crown, outside the arch, so that its number does not cover it. */
function beside(p: CastPoint): CastPoint {
  const v = outward(p);
  return [p[0] + v[0] * 9, p[1] + v[1] * 9, p[2] - 2];
}

/** The patient's sides, written beside the cast. */
function sides(cast: Cast | null): readonly Label[] {
  const c = theCase.peek();
  if (!cast || !c || !cast.mounted) return [];
  const y = (cast.min[1] + cast.max[1]) / 2;
  const z = cast.max[2];
  const [right, left] = c.arch === 'lower' ? [cast.max[0], cast.min[0]] : [cast.min[0], cast.max[0]];
  return [
    { key: 'right', at: [right * 1.12, y, z], out: [right, 0, 0], text: t('cast.side.right') },
    { key: 'left', at: [left * 1.12, y, z], out: [left, 0, 0], text: t('cast.side.left') },
  ];
}

export function ViewButtons({ scene, arch }: { scene: CastScene | null; arch: 'upper' | 'lower' }) {
  return (
    <div class="views">
      {(Object.keys(views) as (keyof typeof views)[]).map((v) => (
        <button
          key={v}
          type="button"
          onClick={() => {
            // Seen from the front the cast turns its +y to the reader in both arches.
            const [round, above] = views[v];
            const flip = v === 'occlusal' && arch === 'upper' ? 180 : 0;
            const swap = arch === 'upper' && (v === 'right' || v === 'left') ? 180 : 0;
            scene?.look({ round: round + flip + swap, above });
          }}
        >
          {t(`cast.look.${v}`)}
        </button>
      ))}
      <button type="button" aria-label={t('cast.closer')} onClick={() => scene?.scale(1.25)}>
        +
      </button>
      <button type="button" aria-label={t('cast.farther')} onClick={() => scene?.scale(0.8)}>
        −
      </button>
    </div>
  );
}

function Legend({ busy, survey }: { busy: boolean; survey: Surveyed | null }) {
  const bands = [
    ['b1', `${num(0.02)}–${num(0.25)}`],
    ['b2', `${num(0.25)}–${num(0.5)}`],
    ['b3', `${num(0.5)}–${num(0.75)}`],
    ['b4', `> ${num(0.75)}`],
  ] as const;
  return (
    <div class="legend">
      <span role="status">{busy && t('cast.preview')}</span>
      <div class={busy ? 'away' : ''}>
        <span>{t('cast.depth')}</span>
        {bands.map(([k, words]) => (
          <span key={k} class="band">
            <i class={k} /> {words} mm
          </span>
        ))}
        <span class="band">
          <i class="line" /> {t('cast.surveyline')}
        </span>
        {survey && <span class="aside">{t('cast.resolution', { mm: num(survey.resolution_mm, 3), s: num(survey.seconds, 2) })}</span>}
      </div>
    </div>
  );
}

function ProbeLine({ p }: { p: Probe | null }) {
  return (
    <output class="probe" aria-live="polite">
      {p
        ? t('cast.probe', {
            where: p.tooth ? toothName(p.tooth) : t('cast.tissue'),
            depth: num(p.depth_mm),
            inch: inches(p.depth_mm),
            above: p.above_margin_mm === null ? '–' : num(p.above_margin_mm, 1),
            slope: num(p.slope_deg, 0),
          })
        : t('cast.probe.none')}
    </output>
  );
}

function PathCard() {
  const v = tilt.value;
  const set = (k: 'anterior' | 'right') => (x: number | undefined) => setTilt({ ...chosenTilt.peek(), [k]: x ?? 0 });
  return (
    <section class="card">
      <h2>{t('cast.path')}</h2>
      <Num label={t('cast.anterior')} value={v.anterior} step={step} set={set('anterior')} field="survey.tilt.anterior_deg" />
      <Num label={t('cast.right')} value={v.right} step={step} set={set('right')} field="survey.tilt.right_deg" />
      <fieldset class="nudges">
        <legend>{t('cast.nudge')}</legend>
        <button type="button" onClick={() => nudge(step, 0)}>
          {t('cast.nudge.front')}
        </button>
        <button type="button" onClick={() => nudge(-step, 0)}>
          {t('cast.nudge.back')}
        </button>
        <button type="button" onClick={() => nudge(0, step)}>
          {t('cast.nudge.right')}
        </button>
        <button type="button" onClick={() => nudge(0, -step)}>
          {t('cast.nudge.left')}
        </button>
        <button type="button" onClick={() => setTilt({ anterior: 0, right: 0 })}>
          {t('cast.nudge.zero')}
        </button>
      </fieldset>
    </section>
  );
}

function ScanCard({ cast }: { cast: Cast | null }) {
  const c = theCase.value;
  const unit = useId();
  if (!c) return null;
  const send = (f: File) => {
    const path = (base: number) => `/cases/${c.case}/scan?base=${base}&name=${encodeURIComponent(f.name)}`;
    errand('scan', (base) => work(new AbortController(), (stop, hear) => ask<State>('PUT', path(base), f, stop, hear))).catch(fault);
  };
  return (
    <section class="card">
      <h2>{t('cast.title')}</h2>
      <p class="whence">
        {cast && t(c.scan ? 'cast.from.scan' : 'cast.from.chart', { file: c.scan?.file ?? '', n: num(cast.triangles, 0) })}
      </p>
      {cast?.trouble && <p class="objection">{cast.trouble}</p>}
      {cast && cast.report.length > 0 && (
        <details>
          <summary>{t('cast.report')}</summary>
          <ul>
            {cast.report.map((r) => (
              <li key={r}>{r}</li>
            ))}
          </ul>
        </details>
      )}
      {c.scan && (
        <div class="row">
          <label for={unit}>{t('cast.unit')}</label>
          <select
            id={unit}
            value={c.scan.unit ?? ''}
            onChange={(e) => {
              const v = e.currentTarget.value as 'mm' | '';
              edit('unit', (x) => {
                if (!x.scan) return x;
                const { unit: _, ...rest } = x.scan;
                return { ...x, scan: v ? { ...rest, unit: v } : rest };
              });
            }}
          >
            <option value="">{t('cast.unit.guess')}</option>
            {['mm', 'cm', 'm', 'inch'].map((u) => (
              <option key={u}>{u}</option>
            ))}
          </select>
        </div>
      )}
      <FileButton label={t(c.scan ? 'cast.scan.other' : 'cast.scan')} accept=".stl,.ply,.obj" disabled={onItsWay('scan')} take={send} />
      {c.scan && (
        <button
          type="button"
          onClick={() =>
            edit('noscan', (x) => {
              const { scan: _, ...rest } = x;
              return rest;
            })
          }
        >
          {t('cast.scan.drop')}
        </button>
      )}
    </section>
  );
}

/** The text twin of the view: every tooth with what the gauge reads at its six sites. */
function TeethCard({
  cast,
  survey,
  surveyed,
  chosen,
  scene,
}: {
  cast: Cast | null;
  survey: Surveyed | null;
  /** Whether the survey is of the path that is shown; else its numbers are left out, and their places stay. */
  surveyed: boolean;
  chosen: number | null;
  scene: CastScene | null;
}) {
  const c = theCase.value;
  if (!c) return null;
  const there = cast?.teeth ?? [];
  // Until the cast is there its teeth are those that stand in the chart.
  const rows =
    c.scan || !cast
      ? teethOf(c.arch).filter((n) => there.some((x) => x.tooth === n) || (c.teeth?.[n]?.state ?? 'present') === 'present')
      : there.map((x) => x.tooth);
  const mark = there.find((x) => x.tooth === chosen);
  const proposed = c.scan ? there.filter((x) => !x.given) : [];
  const show = (n: number | undefined) => {
    choose(n ? String(n) : null);
    const at = there.find((x) => x.tooth === n);
    if (at) scene?.centre(at.point as CastPoint, c.scan ? 4 : 1);
  };
  /** On to the next proposal, so that a row of them is gone through with one key. */
  const confirmed = () => {
    const i = proposed.findIndex((x) => x.tooth === chosen);
    const next = proposed[i + 1] ?? proposed.find((x) => x.tooth !== chosen);
    if (!chosen || !cast) return;
    void place(cast, { tooth: chosen, confirm: true }).then((taken) => {
      if (taken && address.peek().chosen === String(chosen)) show(next?.tooth); // else the user has gone on
    });
  };
  const sites = survey?.teeth.find((x) => x.tooth === chosen)?.sites;
  const read = (mm: number | null, digits?: number) => (!surveyed ? '…' : mm === null ? '–' : num(mm, digits));
  return (
    <section class="card">
      <h2>{t('cast.teeth')}</h2>
      {proposed.length > 0 && (
        <div class="proposedpoints">
          <p>{t('cast.point.proposed', { n: proposed.length })}</p>
          <div class="nudges">
            <button type="button" onClick={() => show(proposed[0]?.tooth)}>
              {t('cast.point.look')}
            </button>
            <button type="button" onClick={() => cast && void place(cast, { confirm: true })}>
              {t('cast.point.all')}
            </button>
          </div>
        </div>
      )}
      <ul class="toothrow">
        {rows.map((n) => {
          const on = there.find((x) => x.tooth === n);
          return (
            <li key={n}>
              <button
                type="button"
                aria-pressed={chosen === n}
                class={on || !cast ? '' : 'lacking'}
                onClick={() => (chosen === n ? choose(null) : show(n))}
              >
                {toothName(n)}
                {c.scan && on && (
                  <small>{on.given ? t('cast.tooth.given') : t('cast.tooth.found', { p: Math.round(on.confidence * 100) })}</small>
                )}
                {c.scan && cast && !on && <small>{t('cast.tooth.lacking')}</small>}
              </button>
            </li>
          );
        })}
      </ul>
      {c.scan && <p class="hint">{t('cast.point.how')}</p>}
      {c.scan && chosen && mark && (
        <div class="nudges">
          {!mark.given && (
            <button type="button" class="main" onClick={confirmed}>
              {t('cast.point.confirm', { tooth: toothName(chosen) })}
            </button>
          )}
          <button type="button" onClick={() => cast && void place(cast, { tooth: chosen, remove: true })}>
            {t('cast.point.forget', { tooth: toothName(chosen) })}
          </button>
        </div>
      )}
      {chosen && sites && (
        <table class="sites">
          <caption>{t('cast.sites', { tooth: toothName(chosen) })}</caption>
          <thead>
            <tr>
              <th scope="col">{t('cast.site')}</th>
              <th scope="col" class="number">
                {t('cast.site.max')}
              </th>
              <th scope="col" class="number">
                {t('cast.site.contour')}
              </th>
              <th scope="col" class="number">
                {t('cast.site.quarter')}
              </th>
              <th scope="col" class="number">
                {t('cast.site.half')}
              </th>
            </tr>
          </thead>
          <tbody>
            {sites.map((s) => (
              <tr key={s.site}>
                <th scope="row">{named('site', s.site)}</th>
                <td class="number">{read(s.max_mm)}</td>
                <td class="number">{read(s.contour_mm, 1)}</td>
                <td class="number">{read(s.quarter_above_mm, 1)}</td>
                <td class="number">{read(s.half_above_mm, 1)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {survey && (
        <details class="twin">
          <summary>{t('cast.table')}</summary>
          <table>
            <thead>
              <tr>
                <th scope="col">{t('cast.tooth')}</th>
                {survey.teeth[0]?.sites.map((s) => (
                  <th key={s.site} scope="col" class="number">
                    {named('site', s.site)}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {survey.teeth.map((x) => (
                <tr key={x.tooth}>
                  <th scope="row">{toothName(x.tooth)}</th>
                  {x.sites.map((s) => (
                    <td key={s.site} class="number">
                      {read(s.max_mm)}
                    </td>
                  ))}
                </tr>
              ))}
            </tbody>
          </table>
        </details>
      )}
    </section>
  );
}

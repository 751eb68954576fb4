import { useSignal } from '@preact/signals';
import { useId } from 'preact/hooks';
import type { CaseFile, Tooth } from '../api/wire';
import { address, choose } from '../record/address';
import { withDepth, withSection, withState, withTooth } from '../record/edits';
import { edit, objections, open, theCase } from '../record/record';
import { say } from '../record/say';
import { numbering, teethNames, toothName } from '../record/teeth';
import { useThing } from '../record/things';
import { teethOf } from '../units/units';
import { language, t } from '../words/words';
import { Line, Num, Pick, YesNo } from './fields';
import { ArchPlan, isReplaced, toothWords } from './plan';

const states = ['present', 'missing', 'extract', 'pontic', 'implant', 'root', 'closed'] as const;

/** What was found in the mouth, drawn and as a short card for the chosen tooth. */
export function ChartRoom() {
  const c = theCase.value;
  const plan = useThing('plan');
  if (!c) return null;
  const chosen = teethOf(c.arch).find((n) => String(n) === address.value.chosen) ?? null;
  const state = (n: number, s: (typeof states)[number]) => edit(`tooth ${n}`, (x) => withState(x, n, s));
  const key = (n: number, e: KeyboardEvent) => {
    const is = c.teeth?.[n]?.state ?? 'present';
    const replace = !isReplaced(c, n);
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    if (e.key === 'm' || e.key === 'Delete') state(n, 'missing');
    else if (e.key === 'p') state(n, 'present');
    else if (e.key === 'x') state(n, 'extract');
    else if (e.key === 'r' && (is === 'missing' || is === 'extract' || is === 'root'))
      edit(`tooth ${n}`, (x) => withTooth(x, n, { replace }));
    else if (e.key === 'Enter') requestAnimationFrame(() => document.querySelector<HTMLElement>('.margin select')?.focus());
    else return;
    e.preventDefault();
  };
  return (
    <div class="split">
      <div class="sheetarea">
        <Say c={c} />
        <ArchPlan
          c={c}
          plan={plan.value}
          chosen={chosen}
          choose={(n) => choose(String(n))}
          onKey={key}
          label={t('chart.plan', { arch: t(c.arch === 'upper' ? 'arch.upper' : 'arch.lower') })}
        />
        <p class="hint">
          {t('chart.signs')} {t('chart.keys')}
        </p>
        <Areas />
      </div>
      <aside class="margin">
        {chosen ? <ToothCard c={c} n={chosen} /> : <Mouth c={c} />}
        {chosen && (
          <button type="button" class="plain" onClick={() => choose(null)}>
            {t('chart.mouth')}
          </button>
        )}
        <ChartTable c={c} />
      </aside>
    </div>
  );
}

function Areas() {
  const s = open.value;
  if (!s) return null;
  return (
    <dl class="areas" aria-live="polite">
      <dt>{t('chart.class')}</dt>
      <dd class="bigclass">{s.class.text[language.value]}</dd>
      <dt>{t('chart.areas')}</dt>
      <dd>
        {s.class.areas.length === 0 && t('chart.none')}
        {s.class.areas.map((a) => (
          <span key={a.teeth.join()} class="area">
            {teethNames(a.teeth)} · {t(`chart.area.${a.kind}`)}
          </span>
        ))}
      </dd>
      {s.class.notes[language.value]?.map((n) => (
        <dd key={n} class="aside">
          {n}
        </dd>
      ))}
    </dl>
  );
}

/** The typed way: "36-38 missing". */
function Say({ c }: { c: CaseFile }) {
  const line = useSignal('');
  const answer = useSignal('');
  const id = useId();
  const row = teethOf(c.arch);
  const [right, left] = [row.slice(0, 8), row.slice(8)];
  const span = (ns: readonly number[], dash: string) => `${toothName(ns[0] ?? 0)}${dash}${toothName(ns.at(-1) ?? 0)}`;
  const names = { one: toothName(left[3] ?? 0), some: span(left.slice(5), '-'), all: `${span(right, '–')}, ${span(left, '–')}` };
  return (
    <form
      class="say"
      onSubmit={(e) => {
        e.preventDefault();
        const s = say(c.arch, line.value, numbering());
        if ('no' in s) {
          answer.value = t(`chart.say.${s.no}`, { at: s.at, arch: t(`arch.${c.arch}`), ...names });
          return;
        }
        edit(`tooth ${s.teeth.join(' ')}`, s.change);
        answer.value = t('chart.say.done', { teeth: teethNames(s.teeth), what: s.what });
        line.value = '';
      }}
    >
      <label for={id}>{t('chart.say')}</label>
      <input
        id={id}
        class="wide"
        autocomplete="off"
        placeholder={t('chart.say.hint', names)}
        value={line.value}
        onInput={(e) => {
          line.value = e.currentTarget.value;
        }}
      />
      <button type="submit">{t('chart.say.go')}</button>
      <output aria-live="polite">{answer.value}</output>
      {objections.value.map((o) => (
        <p key={o.field} class="objection" role="alert">
          {t('chart.objection', { text: `${o.field}: ${o.text}` })}
        </p>
      ))}
    </form>
  );
}

function ToothCard({ c, n }: { c: CaseFile; n: number }) {
  const f: Tooth = c.teeth?.[n] ?? {};
  const state = f.state ?? 'present';
  const gone = state === 'missing' || state === 'closed';
  const set =
    <K extends keyof Tooth>(key: K) =>
    (v: Tooth[K] | undefined) =>
      edit(`tooth ${n}`, (x) => withTooth(x, n, { [key]: v }));
  const num = (key: keyof Tooth, step: number) => (
    <Num
      key={key}
      label={t(`tooth.${key}`)}
      value={f[key] as number | undefined}
      step={step}
      field={`teeth.${n}.${key}`}
      set={set(key) as (v: number | undefined) => void}
    />
  );
  const pick = (key: keyof Tooth, words: readonly string[]) => (
    <Pick
      key={key}
      label={t(`tooth.${key}`)}
      value={f[key] as string | undefined}
      words={words}
      field={`teeth.${n}.${key}`}
      set={set(key) as (v: string | undefined) => void}
    />
  );
  const yes = (key: keyof Tooth) => (
    <YesNo
      key={key}
      label={t(`tooth.${key}`)}
      value={f[key] as boolean | undefined}
      field={`teeth.${n}.${key}`}
      set={set(key) as (v: boolean | undefined) => void}
    />
  );
  const depth = (key: 'floor_depth_mm' | 'vestibule_depth_mm', label: string) => (
    <Num
      label={label}
      value={c.tissues?.[key]?.[n]}
      step={0.5}
      field={`tissues.${key}.${n}`}
      set={(v) => edit(`tissues ${n}`, (x) => withSection(x, 'tissues', { [key]: withDepth(x.tissues?.[key], n, v) }))}
    />
  );
  const frena = c.tissues?.frenum_near ?? [];
  return (
    <section class="card" aria-labelledby="card-title" key={n}>
      <h2 id="card-title">{toothWords(c, n)}</h2>
      <Pick
        label={t('tooth.state')}
        group="tooth.state"
        must
        value={state}
        words={states}
        field={`teeth.${n}.state`}
        set={(v) => edit(`tooth ${n}`, (x) => withState(x, n, states.find((s) => s === v) ?? 'present'))}
      />
      {(state === 'missing' || state === 'extract' || state === 'root') && (
        <YesNo
          label={t('tooth.replace')}
          value={isReplaced(c, n)}
          field={`teeth.${n}.replace`}
          set={(v) => edit(`tooth ${n}`, (x) => withTooth(x, n, { replace: v }))}
        />
      )}
      {!gone && (
        <>
          {num('mobility', 1)}
          {pick('caries', ['none', 'treated', 'active'])}
          {pick('crown', ['none', 'metal', 'ceramic', 'survey'])}
          {yes('root_filled')}
          {num('tilt_deg', 1)}
          {(f.tilt_deg ?? 0) > 0 && pick('tilt_toward', ['mesial', 'distal', 'facial', 'lingual'])}
        </>
      )}
      {state === 'missing' && num('extracted_months', 1)}
      {c.arch === 'lower' && depth('floor_depth_mm', t('tooth.floor'))}
      {depth('vestibule_depth_mm', t('tooth.vestibule'))}
      <details>
        <summary>{t('chart.more')}</summary>
        {!gone && (
          <>
            {yes('abutment')}
            {pick('prognosis', ['good', 'doubtful', 'hopeless'])}
            {pick('periodontal', ['healthy', 'treated', 'active'])}
            {num('bone_loss_percent', 5)}
            {num('crown_root_ratio', 0.1)}
            {num('probing_mm', 1)}
            {num('furcation', 1)}
            {pick('rest_seat', ['none', 'present'])}
            {f.rest_seat === 'present' && pick('seat_material', ['enamel', 'gold', 'alloy', 'amalgam', 'composite', 'ceramic', 'dentine'])}
            {num('crown_height_mm', 0.5)}
            {num('rotation_deg', 5)}
            {pick('mesial_contact', ['free', 'blocked'])}
            {yes('diastema')}
            {num('opposing_room_mm', 0.5)}
            {num('arm_room_mm', 0.5)}
          </>
        )}
        <YesNo
          label={t('tooth.frenum')}
          value={frena.includes(n) ? true : undefined}
          set={(v) =>
            edit(`tissues ${n}`, (x) => {
              const rest = (x.tissues?.frenum_near ?? []).filter((m) => m !== n);
              const next = v ? [...rest, n] : rest;
              return withSection(x, 'tissues', { frenum_near: next.length ? next : undefined });
            })
          }
        />
        <Line label={t('tooth.note')} value={f.note} set={set('note')} wide />
      </details>
    </section>
  );
}

/** Tissues, patient and the opposing arch. */
function Mouth({ c }: { c: CaseFile }) {
  const ts = c.tissues ?? {};
  const p = c.patient ?? {};
  const tissue = (set: Parameters<typeof withSection<'tissues'>>[2]) => edit('tissues', (x) => withSection(x, 'tissues', set));
  const patient = (set: Parameters<typeof withSection<'patient'>>[2]) => edit('patient', (x) => withSection(x, 'patient', set));
  const ridge = (side: 'left' | 'right') => (
    <Pick
      label={t(`mouth.ridge.${side}`)}
      value={ts.ridge?.[side]}
      words={['firm', 'flabby', 'flat']}
      set={(v) =>
        edit('tissues', (x) => {
          const r: { left?: string; right?: string } = { ...(x.tissues?.ridge ?? {}) };
          if (v) r[side] = v;
          else delete r[side];
          return withSection(x, 'tissues', { ridge: Object.keys(r).length ? (r as NonNullable<typeof ts.ridge>) : undefined });
        })
      }
    />
  );
  const place = c.arch === 'upper' ? 'palatal' : 'lingual';
  return (
    <>
      <section class="card">
        <h2>{t('mouth.tissues')}</h2>
        {ridge('right')}
        {ridge('left')}
        {c.arch === 'lower' && (
          <>
            <YesNo label={t('mouth.floor_is_functional')} value={ts.floor_is_functional} set={(v) => tissue({ floor_is_functional: v })} />
            <Pick
              label={t('mouth.lingual_frenum')}
              value={ts.lingual_frenum}
              words={['low', 'high']}
              set={(v) => tissue({ lingual_frenum: v as 'low' | 'high' | undefined })}
            />
          </>
        )}
        {c.arch === 'upper' && (
          <>
            <Num
              label={t('mouth.vibrating_line_mm')}
              value={ts.vibrating_line_mm}
              set={(v) => tissue({ vibrating_line_mm: v })}
              field="tissues.vibrating_line_mm"
            />
            <YesNo label={t('mouth.flabby_front')} value={ts.flabby_front} set={(v) => tissue({ flabby_front: v })} />
          </>
        )}
        <Pick
          label={t('mouth.torus')}
          group="mouth.torus"
          value={ts.tori?.[0]?.size}
          words={['small', 'large']}
          set={(v) => tissue({ tori: v ? [{ ...(ts.tori?.[0] ?? {}), place, size: v as 'small' | 'large' }] : undefined })}
        />
      </section>
      <section class="card">
        <h2>{t('mouth.patient')}</h2>
        <Pick
          label={t('mouth.opposing')}
          value={c.opposing?.kind}
          words={['natural', 'complete-denture', 'partial-denture', 'implant', 'mixed']}
          set={(v) => edit('opposing', (x) => withSection(x, 'opposing', { kind: v as 'natural' | undefined }))}
        />
        <Line
          label={t('mouth.allergies')}
          value={p.allergies?.join(', ')}
          set={(v) => {
            const list = v
              ?.split(',')
              .map((s) => s.trim())
              .filter(Boolean);
            patient({ allergies: list?.length ? list : undefined });
          }}
        />
        <Pick
          label={t('mouth.smile_line')}
          value={p.smile_line}
          words={['low', 'medium', 'high']}
          set={(v) => patient({ smile_line: v as 'low' | undefined })}
        />
        <Pick
          label={t('mouth.caries_risk')}
          value={p.caries_risk}
          words={['low', 'medium', 'high']}
          set={(v) => patient({ caries_risk: v as 'low' | undefined })}
        />
        <Pick
          label={t('mouth.hygiene')}
          value={p.hygiene}
          words={['good', 'poor']}
          set={(v) => patient({ hygiene: v as 'good' | undefined })}
        />
        <Pick
          label={t('mouth.dexterity')}
          value={p.dexterity}
          words={['good', 'poor']}
          set={(v) => patient({ dexterity: v as 'good' | undefined })}
        />
        <YesNo label={t('mouth.gag')} value={p.gag} set={(v) => patient({ gag: v })} />
        <YesNo label={t('mouth.bruxism')} value={p.bruxism} set={(v) => patient({ bruxism: v })} />
        <YesNo label={t('mouth.dry_mouth')} value={p.dry_mouth} set={(v) => patient({ dry_mouth: v })} />
        <YesNo label={t('mouth.epilepsy')} value={p.epilepsy} set={(v) => patient({ epilepsy: v })} />
      </section>
    </>
  );
}

/** The same chart in words. */
function ChartTable({ c }: { c: CaseFile }) {
  return (
    <details class="twin">
      <summary>{t('chart.table')}</summary>
      <ul>
        {teethOf(c.arch).map((n) => (
          <li key={n}>{toothWords(c, n)}</li>
        ))}
      </ul>
    </details>
  );
}

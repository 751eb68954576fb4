import { useSignal } from '@preact/signals';
import type { CaseFile, LaidPart, Part } from '../api/wire';
import { choose } from '../record/address';
import { pruned, withoutPart, withPart } from '../record/edits';
import { about, edit } from '../record/record';
import { otherName, toothName } from '../record/teeth';
import { useThing } from '../record/things';
import { teethOf } from '../units/units';
import { named, num, t } from '../words/words';
import { Line, Num, Pick } from './fields';
import { partName } from './parts';

const usual = [0.25, 0.5, 0.75];

/** One part: everything about it that can be chosen, and what was measured of it. */
export function PartCard({ p, laid, stale }: { p: Part; laid: LaidPart | null; stale: boolean }) {
  const proposals = useThing('proposals', false);
  const set = (v: { [K in keyof Part]?: Part[K] | undefined }) =>
    edit(`part ${p.id}`, (c) => withPart(c, pruned({ ...(c.design?.parts.find((q) => q.id === p.id) ?? p), ...v }) as Part));
  const size = (name: string) => (v: number | undefined) => {
    const next = { ...(p.dimensions ?? {}) };
    if (v === undefined) delete next[name];
    else next[name] = v;
    set({ dimensions: Object.keys(next).length ? next : undefined });
  };
  const forms = formsOf(p.kind);
  const materials = about.value?.materials ?? [];
  const why = proposals.value?.proposals.flatMap((x) => x.reasons).filter((r) => r.part === p.id) ?? [];
  const settable = (laid?.measures ?? []).filter((m, i, all) => m.set && all.findIndex((x) => x.set === m.set) === i);
  const chosenSizes = Object.keys(p.dimensions ?? {}).filter((k) => !settable.some((m) => m.set === k));
  return (
    <section class="card" aria-labelledby="part-title" key={p.id}>
      <h2 id="part-title">{partName(p)}</h2>
      {forms.length > 0 && (
        <Pick label={t('part.form')} group={p.kind} value={p.form} words={forms} must={!!p.form} set={(v) => set({ form: v })} />
      )}
      {(p.kind === 'rest' || p.kind === 'guide-plate') && (
        <Pick
          label={t('part.site')}
          group="surface"
          value={p.kind === 'rest' ? p.site : p.surface}
          words={['mesial', 'distal', 'lingual']}
          set={(v) => set(p.kind === 'rest' ? { site: v as 'mesial' } : { surface: v as 'mesial' })}
        />
      )}
      {p.kind === 'rest' && (
        <Pick
          label={t('part.role')}
          group="role"
          value={p.role}
          words={['primary', 'indirect', 'auxiliary']}
          set={(v) => set({ role: v as 'primary' })}
        />
      )}
      {p.kind === 'retainer' && p.form !== 'none' && (
        <>
          <Pick
            label={t('part.undercut.site')}
            group="site"
            value={p.undercut?.site}
            words={about.value?.sites ?? []}
            set={(v) => set({ undercut: v ? { site: v as 'mid-facial', mm: p.undercut?.mm ?? 0.25 } : undefined })}
          />
          <Num
            label={t('part.undercut.mm')}
            value={p.undercut?.mm}
            step={0.05}
            set={(v) => set({ undercut: v === undefined ? undefined : { site: p.undercut?.site ?? 'mid-facial', mm: v } })}
          />
          <div class="nudges">
            {usual.map((mm) => (
              <button
                key={mm}
                type="button"
                aria-pressed={p.undercut?.mm === mm}
                onClick={() => set({ undercut: { site: p.undercut?.site ?? 'mid-facial', mm } })}
              >
                {num(mm)}
              </button>
            ))}
          </div>
        </>
      )}
      {(p.kind === 'retainer' || p.kind === 'base' || p.kind === 'major-connector') && materials.length > 0 && (
        <Pick
          label={t('part.material')}
          wide
          group="material"
          value={p.material}
          words={materials.map((m) => m.name)}
          set={(v) => set({ material: v })}
        />
      )}
      {p.kind === 'retainer' && (p.form === 'combination' || p.material?.startsWith('wrought')) && (
        <Num label={t('part.gauge')} value={p.gauge_mm} step={0.1} set={(v) => set({ gauge_mm: v })} />
      )}
      {p.kind === 'base' && (
        <Pick
          label={t('part.attachment')}
          group="attachment"
          value={p.attachment}
          words={['lattice', 'mesh', 'beads', 'posts']}
          set={(v) => set({ attachment: v as 'lattice' })}
        />
      )}
      {settable.map((m) => (
        <div key={`${m.set}${m.tooth}`} class={stale && p.dimensions?.[m.set] === undefined ? 'stale' : ''}>
          <Num
            label={`${m.label}, ${m.unit === 'deg' ? '°' : m.unit}`}
            value={p.dimensions?.[m.set] ?? Math.round(m.value * 100) / 100}
            step={0.25}
            set={size(m.set)}
          />
        </div>
      ))}
      {chosenSizes.map((k) => (
        <Num
          key={k}
          label={`${named('measure', k)}${k === 'lattice_share' ? '' : ', mm'}`}
          value={p.dimensions?.[k]}
          step={0.25}
          set={size(k)}
        />
      ))}
      <Line label={t('tooth.note')} value={p.note} set={(v) => set({ note: v })} wide />
      {laid && laid.short.length > 0 && (
        <ul class={`short${stale ? ' stale' : ''}`}>
          {laid.short.map((s) => (
            <li key={`${s.measure}${s.tooth}`}>{t('part.short', { what: s.why || s.measure, wanted: num(s.wanted), got: num(s.got) })}</li>
          ))}
        </ul>
      )}
      {laid?.tip && (
        <p class={stale ? 'stale' : ''}>
          {t('part.tip', {
            site: named('site', laid.tip.site),
            mm: num(laid.tip.undercut_mm),
            above: num(laid.tip.above_margin_mm, 1),
          })}
        </p>
      )}
      {laid && laid.measures.length > 0 && (
        <details>
          <summary>{t('part.measures')}</summary>
          <table class={stale ? 'stale' : ''}>
            <tbody>
              {laid.measures.map((m, i) => (
                <tr key={i}>
                  <th scope="row">
                    {m.label}
                    {m.tooth ? ` (${toothName(m.tooth)})` : ''}
                  </th>
                  <td class="number">
                    {num(m.value)} {m.unit === 'deg' ? '°' : m.unit}
                    {m.spread > 0 && <small> ± {num(m.spread)}</small>}
                  </td>
                  <td>
                    <small>{named('origin', m.origin)}</small>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </details>
      )}
      {why.length > 0 && (
        <details>
          <summary>{t('part.why')}</summary>
          {why.slice(0, 2).map((r) => (
            <p key={r.because}>
              {r.because} <span class="source">{[r.rule, ...r.sources.map((s) => s.cite)].filter(Boolean).join(' · ')}</span>
            </p>
          ))}
        </details>
      )}
      <button
        type="button"
        onClick={() => {
          edit(`part ${p.id}`, (c) => withoutPart(c, p.id));
          choose(null);
        }}
      >
        {t('part.remove')}
      </button>
    </section>
  );
}

const kinds = [
  'rest',
  'guide-plate',
  'retainer',
  'reciprocation',
  'minor-connector',
  'major-connector',
  'base',
  'tissue-stop',
  'finish-line',
  'replacement-tooth',
] as const;

/** A further part: its kind, and the tooth it belongs to. */
export function AddPart({ c }: { c: CaseFile }) {
  const kind = useSignal<(typeof kinds)[number]>('rest');
  const tooth = useSignal<number | undefined>(undefined);
  const add = () => {
    const k = kind.value;
    const n = tooth.value;
    const whole = k === 'major-connector';
    const base = `${k}${n && !whole ? `-${n}` : ''}`;
    const taken = new Set(c.design?.parts.map((p) => p.id));
    let id = base;
    for (let i = 2; taken.has(id); i++) id = `${base}-${i}`;
    const first = formsOf(k)[0];
    const p: Part = {
      id,
      kind: k,
      ...(n && k !== 'base' && k !== 'minor-connector' && !whole ? { tooth: n } : {}),
      ...(n && k === 'base' ? { teeth: [n], support: 'bounded' as const, attachment: 'lattice' as const } : {}),
      ...(n && k === 'minor-connector' ? { at: [n] } : {}),
      ...(first ? { form: first } : {}),
      ...(k === 'rest' ? { site: 'mesial' as const, role: 'primary' as const } : {}),
      ...(k === 'guide-plate' ? { surface: 'distal' as const } : {}),
      ...(k === 'retainer' ? { undercut: { site: 'mid-facial' as const, mm: 0.25 } } : {}),
    };
    edit(`part ${id}`, (x) => withPart(x, p));
    choose(id);
  };
  return (
    <section class="card">
      <h2>{t('part.add')}</h2>
      <Pick
        label={t('part.kind')}
        group="kind"
        must
        value={kind.value}
        words={kinds}
        set={(v) => (kind.value = kinds.find((k) => k === v) ?? 'rest')}
      />
      {kind.value !== 'major-connector' && (
        <Pick
          label={t('cast.tooth')}
          value={tooth.value ? String(tooth.value) : undefined}
          words={teethOf(c.arch).map(String)}
          say={(w) => `${toothName(Number(w))} (${otherName(Number(w))})`}
          set={(v) => (tooth.value = v ? Number(v) : undefined)}
        />
      )}
      <button type="button" disabled={kind.value !== 'major-connector' && !tooth.value} onClick={add}>
        {t('part.add.go')}
      </button>
    </section>
  );
}

/** The forms that a kind of part may take. */
function formsOf(kind: string): readonly string[] {
  return about.value?.forms[kind] ?? [];
}

import type { Measured, Part, Proposal } from '../api/wire';
import { go } from '../record/address';
import { about, edit, kept, theCase } from '../record/record';
import { useThing } from '../record/things';
import { useLong } from '../record/work';
import { named, num, t } from '../words/words';
import { Pick } from './fields';
import { Mark, severityWord } from './findings';
import { LaidDrawing, partName } from './parts';
import { ArchPlan } from './plan';

/** The proposals side by side, each with its reasons and how it differs from the first. */
export function ProposalsView({ back, accepted }: { back: (() => void) | null; accepted: () => void }) {
  const c = theCase.value;
  const plan = useThing('plan');
  const gapless = kept.value?.class.class === '';
  const proposals = useThing('proposals', !gapless);
  const list = proposals.value?.proposals ?? [];
  if (!c) return null;
  const stale = useLong(proposals.busy);
  const accept = (p: Proposal) => {
    if (proposals.busy) return; // it was proposed for another state of the case
    replaceDesign(p.parts);
    accepted();
  };
  return (
    <div class="proposals">
      <div class="viewbar">
        <h2>{t('propose.title')}</h2>
        <School />
        {back && (
          <button type="button" onClick={back}>
            {t('propose.back')}
          </button>
        )}
      </div>
      {gapless && (
        <div class="empty">
          <p>{t('propose.nothing')}</p>
          <button type="button" onClick={() => go({ room: 'chart', chosen: null })}>
            {t('propose.tochart')}
          </button>
        </div>
      )}
      {stale && list.length > 0 && (
        <p class="hint" role="status">
          {t('app.anew')}
        </p>
      )}
      <div class={`sidebyside${stale ? ' stale' : ''}`}>
        {list.map((p) => (
          <article key={p.rank} class="proposal" aria-labelledby={`proposal-${p.rank}`}>
            <h3 id={`proposal-${p.rank}`}>
              {p.rank}. {p.title}
            </h3>
            <ArchPlan c={c} plan={plan.value} chosen={null} choose={() => {}} teethPassive label={t('propose.plan', { n: p.rank })}>
              <LaidDrawing arch={c.arch} laid={p.laid} names={(id) => id} chosen={null} />
            </ArchPlan>
            <ul class="tally">
              <li>
                <Mark severity="stop" /> {t('propose.stops', { n: p.stops })}
              </li>
              <li>
                <Mark severity="caution" /> {t('propose.cautions', { n: p.cautions })}
              </li>
              <li>{t('propose.prepared', { n: p.prepared })}</li>
            </ul>
            <button type="button" class="main" aria-disabled={proposals.busy} onClick={() => accept(p)}>
              {t('propose.accept', { n: p.rank })}
            </button>
            {p.apart.length > 0 && (
              <>
                <h4>{t('propose.apart')}</h4>
                <ul>
                  {p.apart.slice(0, 8).map((id) => {
                    const part = p.parts.find((q) => q.id === id);
                    return part ? <li key={id}>{partName(part)}</li> : null;
                  })}
                  {p.apart.length > 8 && <li>{t('propose.more', { n: p.apart.length - 8 })}</li>}
                </ul>
              </>
            )}
            {p.decide.length > 0 && (
              <>
                <h4>{t('propose.decide')}</h4>
                <ul>
                  {p.decide.map((x) => (
                    <li key={x}>{x}</li>
                  ))}
                </ul>
              </>
            )}
            <details>
              <summary>{t('propose.why')}</summary>
              <dl class="reasons">
                {p.reasons.map((r, i) => {
                  const part = p.parts.find((q) => q.id === r.part);
                  return (
                    <div key={i}>
                      <dt>{part ? partName(part) : r.part || t('propose.whole')}</dt>
                      <dd>
                        {r.because} <span class="source">{[r.rule, ...r.sources.map((s) => s.cite)].filter(Boolean).join(' · ')}</span>
                        {r.rejected.map((x) => (
                          <p key={x.form} class="rejected">
                            {t('propose.rejected', { form: x.form, why: x.because })}
                          </p>
                        ))}
                      </dd>
                    </div>
                  );
                })}
              </dl>
            </details>
            <details>
              <summary>{t('propose.findings', { n: p.findings.filter((f) => f.status !== 'not-checked').length })}</summary>
              <ul class="brief">
                {p.findings
                  .filter((f) => f.status !== 'not-checked')
                  .map((f) => (
                    <li key={`${f.rule}${f.tooth}${f.part}`}>
                      <Mark severity={f.severity} maybe={f.status === 'borderline'} /> <span class="sevword">{severityWord(f)}</span>{' '}
                      {f.message}
                    </li>
                  ))}
              </ul>
            </details>
          </article>
        ))}
      </div>
      {list.length > 1 && <Compared list={list} />}
      {!proposals.busy && !gapless && (
        <p>
          <button
            type="button"
            class="plain"
            onClick={() =>
              edit('part', (x) => ({
                ...x,
                design: {
                  parts: [{ id: 'connector', kind: 'major-connector', form: x.arch === 'lower' ? 'lingual-bar' : 'palatal-strap' }],
                },
              }))
            }
          >
            {t('propose.byhand')}
          </button>
        </p>
      )}
    </div>
  );
}

/** The measures that the proposals were weighed by, side by side; what differs from the first stands out. */
function Compared({ list }: { list: readonly Proposal[] }) {
  const rows = list.flatMap((p) => p.measures).filter((m, i, all) => all.findIndex((x) => x.name === m.name) === i);
  const of = (p: Proposal, name: string) => p.measures.find((m) => m.name === name);
  // One number of digits to a row, and no more than an estimate has.
  const digits = (name: string) => {
    const all = list.map((p) => of(p, name)?.value ?? 0);
    const most = Math.max(...all.map(Math.abs));
    return all.every(Number.isInteger) || most >= 100 ? 0 : most >= 10 ? 1 : 2;
  };
  const said = (m: Measured | undefined) => (m ? `${num(m.value, digits(m.name))}\u00a0${m.unit}`.trim() : '–');
  const first = list[0] as Proposal;
  const apart = (name: string) => list.some((p) => said(of(p, name)) !== said(of(first, name)));
  const table = (some: readonly Measured[]) => (
    <table class="compared">
      <thead>
        <tr>
          <th scope="col">{t('propose.measure')}</th>
          {list.map((p) => (
            <th key={p.rank} scope="col" class="number">
              {p.rank}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {some.map((m) => (
          <tr key={m.name}>
            <th scope="row">{m.label}</th>
            {list.map((p) => {
              const text = said(of(p, m.name));
              return (
                <td key={p.rank} class="number">
                  {text === said(of(first, m.name)) ? text : <strong>{text}</strong>}
                </td>
              );
            })}
          </tr>
        ))}
      </tbody>
    </table>
  );
  const [unlike, like] = [rows.filter((m) => apart(m.name)), rows.filter((m) => !apart(m.name))];
  return (
    <section class="numbers">
      <h3>{t('propose.numbers')}</h3>
      {unlike.length > 0 ? table(unlike) : <p class="hint">{t('propose.alike')}</p>}
      {like.length > 0 && (
        <details>
          <summary>{t('propose.same', { n: like.length })}</summary>
          {table(like)}
        </details>
      )}
    </section>
  );
}

/** Which school's rules propose and judge. */
function School() {
  const c = theCase.value;
  const profiles = about.value?.profiles ?? [];
  if (!c || profiles.length === 0) return null;
  return (
    <Pick
      label={t('propose.school')}
      value={c.profile ?? profiles[0]?.name}
      words={profiles.map((p) => p.name)}
      say={(w) => named('profile', w)}
      must
      set={(v) =>
        edit('profile', (x) => {
          const { profile: _, ...rest } = x;
          return v && v !== profiles[0]?.name ? { ...rest, profile: v } : rest;
        })
      }
    />
  );
}

function replaceDesign(parts: readonly Part[]) {
  edit('accept', (c) => {
    const { set_aside: _, ...rest } = c;
    return { ...rest, design: { parts } };
  });
}

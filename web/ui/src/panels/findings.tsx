import { useSignal } from '@preact/signals';
import { useId } from 'preact/hooks';
import type { CaseFile, Finding, Judged } from '../api/wire';
import { go } from '../record/address';
import { edit, theCase } from '../record/record';
import { toothName } from '../record/teeth';
import { useLong } from '../record/work';
import { t } from '../words/words';
import { partName } from './parts';

/** A severity as a shape, so that colour is never alone. */
export function Mark({ severity, maybe }: { severity: 'stop' | 'caution' | 'note'; maybe?: boolean }) {
  return (
    <svg class={`sev ${severity}${maybe ? ' maybe' : ''}`} viewBox="0 0 16 16" width="16" height="16" aria-hidden="true">
      {severity === 'stop' && <path d="M5 1h6l4 4v6l-4 4H5l-4-4V5z" />}
      {severity === 'caution' && <path d="M8 1.5 15 14.5H1z" />}
      {severity === 'note' && <circle cx="8" cy="8" r="6" />}
    </svg>
  );
}

const order = { stop: 0, caution: 1, note: 2 } as const;
/** What only may be wrong, because the number is not sure enough, comes after what is. */
const rank = (f: Finding) => order[f.severity] + (f.status === 'borderline' ? 3 : 0);

/** How grave a finding is, in a word. */
export const severityWord = (f: Finding) =>
  f.status === 'not-checked'
    ? t('find.notchecked')
    : f.status === 'borderline' && f.severity !== 'note'
      ? t('find.borderline', { what: t(`sev.${f.severity}`) })
      : t(`sev.${f.severity}`);

/** What the rulebook has to say, gravest first, and what was set aside. */
export function Findings({ judged, busy, part }: { judged: Judged | null; busy: boolean; part: string | null }) {
  const stale = useLong(busy);
  if (!judged) return null;
  const here = (f: Finding) => !part || f.part === part;
  const failed = judged.findings.filter((f) => f.status !== 'not-checked' && !f.aside && here(f)).sort((a, b) => rank(a) - rank(b));
  const aside = judged.findings.filter((f) => f.aside && here(f));
  const unknown = judged.findings.filter((f) => f.status === 'not-checked' && here(f));
  return (
    <section class={`card findings${stale ? ' stale' : ''}`} aria-labelledby="findings-title">
      <h2 id="findings-title">{t('find.title')}</h2>
      <p class="hint" aria-live="polite">
        {stale
          ? t('app.anew')
          : t('find.count', { stops: judged.stops, cautions: judged.cautions, checked: judged.checked, not: judged.not_checked })}
      </p>
      {failed.length === 0 && <p>{t('find.none')}</p>}
      <ul>
        {failed.map((f) => (
          <OneFinding key={keyOf(f)} f={f} />
        ))}
      </ul>
      {aside.length > 0 && (
        <details>
          <summary>{t('find.aside', { n: aside.length })}</summary>
          <ul>
            {aside.map((f) => (
              <OneFinding key={keyOf(f)} f={f} />
            ))}
          </ul>
        </details>
      )}
      {unknown.length > 0 && (
        <details>
          <summary>{t('find.unknown', { n: unknown.length })}</summary>
          <ul>
            {unknown.map((f) => (
              <OneFinding key={keyOf(f)} f={f} />
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}

const keyOf = (f: Finding) => `${f.rule} ${f.tooth} ${f.part} ${f.surface} ${f.message}`;

function OneFinding({ f }: { f: Finding }) {
  const setting = useSignal(false);
  const part = theCase.value?.design?.parts.find((p) => p.id === f.part);
  const place = part ? partName(part) : f.tooth ? t('chart.tooth', { tooth: toothName(f.tooth) }) : f.part;
  const show = () => {
    if (f.part) go({ room: 'design', chosen: f.part });
    else if (f.tooth) go({ room: 'chart', chosen: String(f.tooth) });
  };
  return (
    <li class={`finding ${f.severity}`}>
      <details>
        <summary>
          <Mark severity={f.severity} maybe={f.status === 'borderline'} /> <span class="sevword">{severityWord(f)}</span> {f.message}
        </summary>
        <dl>
          {place && (
            <>
              <dt>{t('find.place')}</dt>
              <dd>
                <button type="button" class="plain" onClick={show}>
                  {place}
                </button>
              </dd>
            </>
          )}
          {f.found && (
            <>
              <dt>{t('find.found')}</dt>
              <dd>{f.found}</dd>
            </>
          )}
          {f.asked && (
            <>
              <dt>{t('find.asked')}</dt>
              <dd>{f.asked}</dd>
            </>
          )}
          {f.missing.length > 0 && (
            <>
              <dt>{t('find.missing')}</dt>
              <dd>{f.missing.join(', ')}</dd>
            </>
          )}
          {f.why && (
            <>
              <dt>{t('find.why')}</dt>
              <dd>{f.why}</dd>
            </>
          )}
          {f.remedy && (
            <>
              <dt>{t('find.remedy')}</dt>
              <dd>{f.remedy}</dd>
            </>
          )}
          <dt>{t('find.rule')}</dt>
          <dd>
            {f.rule}
            {f.sources.map((s) => (
              <div key={s.key} class="source">
                {s.cite || s.mark}
                {s.grade && ` (${s.grade})`}
              </div>
            ))}
          </dd>
          {f.aside && (
            <>
              <dt>{t('find.asidewhy')}</dt>
              <dd>
                {f.aside} {f.aside_by && `(${f.aside_by})`}{' '}
                <button type="button" onClick={() => takeBack(f)}>
                  {t('find.takeback')}
                </button>
              </dd>
            </>
          )}
        </dl>
        {!f.aside && f.severity !== 'note' && f.status !== 'not-checked' && (
          <button
            type="button"
            aria-expanded={setting.value}
            onClick={() => {
              setting.value = !setting.value;
            }}
          >
            {t(f.severity === 'stop' ? 'find.overrule' : 'find.setaside')}
          </button>
        )}
        {setting.value && <SetAside f={f} done={() => (setting.value = false)} />}
      </details>
    </li>
  );
}

/** What was set aside of other findings. */
const others = (c: CaseFile, f: Finding) =>
  (c.set_aside ?? []).filter(
    (s) =>
      !(
        s.rule === f.rule &&
        (s.tooth ?? 0) === f.tooth &&
        (s.surface === undefined || s.surface === f.surface) &&
        (s.part ?? '') === f.part
      ),
  );

function takeBack(f: Finding) {
  edit(`setaside ${f.rule}`, (c) => {
    const rest = others(c, f);
    const { set_aside: _, ...other } = c;
    return rest.length ? { ...other, set_aside: rest } : other;
  });
}

/** Why the dentist lives with a caution; a stop is overruled by name only. */
function SetAside({ f, done }: { f: Finding; done: () => void }) {
  const reason = useSignal('');
  const by = useSignal('');
  const id = useId();
  const must = f.severity === 'stop';
  return (
    <form
      class="setaside"
      onSubmit={(e) => {
        e.preventDefault();
        const entry = {
          rule: f.rule,
          ...(f.tooth ? { tooth: f.tooth } : {}),
          ...(f.surface ? { surface: f.surface } : {}),
          ...(f.part ? { part: f.part } : {}),
          reason: reason.value.trim(),
          ...(by.value.trim() ? { by: by.value.trim() } : {}),
          at: new Date().toISOString().replace(/\.\d+Z/, 'Z'),
        };
        edit(`setaside ${f.rule}`, (c) => ({ ...c, set_aside: [...others(c, f), entry] }));
        done();
      }}
    >
      <label for={`${id}r`}>{t('find.reason')}</label>
      <textarea
        id={`${id}r`}
        rows={2}
        required
        value={reason.value}
        onInput={(e) => {
          reason.value = e.currentTarget.value;
        }}
      />
      <label for={`${id}b`}>{t(must ? 'find.by.must' : 'find.by')}</label>
      <input
        id={`${id}b`}
        required={must}
        value={by.value}
        onInput={(e) => {
          by.value = e.currentTarget.value;
        }}
      />
      <button type="submit" class="main" disabled={!reason.value.trim() || (must && !by.value.trim()) || !theCase.value}>
        {t(must ? 'find.overrule' : 'find.setaside')}
      </button>
      <p class="hint">{t('find.prints')}</p>
    </form>
  );
}

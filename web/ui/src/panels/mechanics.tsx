import { useSignal } from '@preact/signals';
import type { Reckoned } from '../api/wire';
import { kept } from '../record/record';
import { useLong } from '../record/work';
import { language, t } from '../words/words';

/** What mechanics estimates: in a few sentences, as tables, and drawn when that is asked for. */
export function Mechanics({ reckoned, busy, id }: { reckoned: Reckoned | null; busy: boolean; id: string }) {
  const drawn = useSignal(false);
  const stale = useLong(busy);
  if (!reckoned) return null;
  return (
    <section class={`mechanics${stale ? ' stale' : ''}`} aria-labelledby="mech-title">
      <h2 id="mech-title">{t('mech.title')}</h2>
      <p class="hint">{t(stale ? 'app.anew' : 'mech.estimate')}</p>
      {reckoned.says.map((x) => (
        <p key={x}>{x}</p>
      ))}
      {reckoned.mend.map((x) => (
        <p key={x} class="must">
          {x}
        </p>
      ))}
      {reckoned.tables.map((x) => (
        <div key={x.title} class="tablescroll" role="region" aria-label={x.title} tabIndex={0}>
          <table>
            <caption>{x.title}</caption>
            <thead>
              <tr>
                {x.columns.map((c) => (
                  <th key={c.head} scope="col" class={c.figure ? 'number' : ''}>
                    {c.head}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {x.rows.map((r) => (
                <tr key={r[0]}>
                  {r.map((v, i) => {
                    const c = x.columns[i];
                    const rest = i === r.length - 1 ? x.columns.length - i : 1;
                    return i === 0 ? (
                      <th key={c?.head} scope="row">
                        {v}
                      </th>
                    ) : (
                      <td key={c?.head} colSpan={rest} class={c?.figure && rest === 1 ? 'number' : ''}>
                        {v}
                      </td>
                    );
                  })}
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      ))}
      <details
        onToggle={(e) => {
          drawn.value = e.currentTarget.open;
        }}
      >
        <summary>{t('mech.drawn')}</summary>
        {drawn.value && (
          <img
            class="paper"
            src={`/api/cases/${id}/mechanics.svg?lang=${language.value}&at=${kept.value?.revision ?? 0}`}
            alt={t('mech.drawn.alt')}
          />
        )}
      </details>
      <details>
        <summary>{t('mech.assumed')}</summary>
        {reckoned.assumed.map((x) => (
          <p key={x} class="aside">
            {x}
          </p>
        ))}
      </details>
    </section>
  );
}

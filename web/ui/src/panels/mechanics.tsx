import type { Reckoned } from '../api/wire';
import { t } from '../words/words';

/** What mechanics estimates, as tables. */
export function Mechanics({ reckoned, busy }: { reckoned: Reckoned | null; busy: boolean }) {
  if (!reckoned && !busy) return null;
  return (
    <details class="twin">
      <summary>{t('mech.title')}</summary>
      {busy && <p role="status">{t('app.working', { what: t('mech.title') })}</p>}
      <p class="hint">{t('mech.estimate')}</p>
      {reckoned?.tables.map((x) => (
        <table key={x.title}>
          <caption>{x.title}</caption>
          <thead>
            <tr>
              {x.columns.map((c) => (
                <th key={c} scope="col">
                  {c}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {x.rows.map((r) => (
              <tr key={r.join()}>
                {r.map((v, i) =>
                  i === 0 ? (
                    <th key={x.columns[i]} scope="row">
                      {v}
                    </th>
                  ) : (
                    <td key={x.columns[i]}>{v}</td>
                  ),
                )}
              </tr>
            ))}
          </tbody>
        </table>
      ))}
      {reckoned?.notes.map((n) => (
        <p key={n} class="aside">
          {n}
        </p>
      ))}
    </details>
  );
}

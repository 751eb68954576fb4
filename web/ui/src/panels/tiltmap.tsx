import { useSignal } from '@preact/signals';
import { refetch, useThing } from '../record/things';
import { setTilt, tilt } from '../record/tilt';
import { useLong } from '../record/work';
import { num, t } from '../words/words';

/** How well each path suits, as a map round the vertical, and the best ones in words. */
export function TiltMapCard({ mounted }: { mounted: boolean }) {
  const wanted = useSignal(false);
  const map = useThing('tilt', mounted && wanted.value);
  const stale = useLong(map.busy);
  const m = map.value;
  const now = tilt.value;
  const scores = m?.paths.map((p) => p.score) ?? [];
  const [lo, hi] = [Math.min(...scores), Math.max(...scores)];
  const size = 100;
  const r = m ? size / (m.within_deg * 1.15) : 1;
  const at = (p: { anterior_deg: number; right_deg: number }) => ({ x: -p.right_deg * r, y: -p.anterior_deg * r });
  return (
    <section class={`card${stale ? ' stale' : ''}`}>
      <h2>{t('tilt.title')}</h2>
      {!m && !map.busy && (
        <button
          type="button"
          disabled={!mounted}
          onClick={() => {
            if (wanted.value) refetch('tilt');
            wanted.value = true;
          }}
        >
          {t('tilt.make')}
        </button>
      )}
      {m && (
        <>
          <svg class="tiltmap" viewBox="-118 -118 236 236" role="img" aria-label={t('tilt.map', { n: m.paths.length })}>
            {m.paths.map((p) => {
              const k = hi > lo ? (hi - p.score) / (hi - lo) : 1;
              const { x, y } = at(p);
              return (
                <circle
                  key={`${p.anterior_deg} ${p.right_deg}`}
                  class="path"
                  cx={x}
                  cy={y}
                  r={0.5 + 1.9 * k * k}
                  onClick={() => setTilt({ anterior: p.anterior_deg, right: p.right_deg })}
                >
                  <title>{`${num(p.anterior_deg, 1)}° / ${num(p.right_deg, 1)}°: ${num(p.score)}`}</title>
                </circle>
              );
            })}
            {[5, 10, 15]
              .filter((d) => d <= m.within_deg)
              .map((d) => (
                <g key={d}>
                  <circle class="ring" r={d * r} />
                  <text x={d * r * 0.71 + 2} y={d * r * 0.71 + 6}>
                    {d}°
                  </text>
                </g>
              ))}
            <text x="0" y="-106" text-anchor="middle">
              {t('tilt.front')}
            </text>
            <text x="-114" y="4">
              {t('tilt.right')}
            </text>
            <text x="114" y="4" text-anchor="end">
              {t('tilt.left')}
            </text>
            <path
              class="best"
              transform={`translate(${at(m.best).x} ${at(m.best).y})`}
              d="M-8 0H8M0 -8V8M-5.5 -5.5L5.5 5.5M-5.5 5.5L5.5 -5.5"
            />
            <circle class="now" cx={-now.right * r} cy={-now.anterior * r} r="8" />
          </svg>
          <p class="hint">{t(stale ? 'app.anew' : 'tilt.legend')}</p>
          <table>
            <thead>
              <tr>
                <th scope="col">{t('tilt.path')}</th>
                <th scope="col" class="number">
                  {t('tilt.score')}
                </th>
                <th scope="col">
                  <span class="hidden">{t('list.actions')}</span>
                </th>
              </tr>
            </thead>
            <tbody>
              {(m.candidates.length ? m.candidates : [m.best]).map((p) => (
                <tr key={`${p.anterior_deg} ${p.right_deg}`}>
                  <td>
                    {t('tilt.at', { a: num(p.anterior_deg, 1), r: num(p.right_deg, 1) })}
                    {p.why && <div class="aside">{p.why}</div>}
                  </td>
                  <td class="number">{num(p.score)}</td>
                  <td>
                    <button type="button" onClick={() => setTilt({ anterior: p.anterior_deg, right: p.right_deg })}>
                      {t('tilt.use')}
                    </button>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </>
      )}
    </section>
  );
}

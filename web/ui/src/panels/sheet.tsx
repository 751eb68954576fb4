import { useSignal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { page } from '../record/page';
import { kept, theCase } from '../record/record';
import { useThing } from '../record/things';
import { useLong } from '../record/work';
import { t } from '../words/words';
import { Downloads } from './order';

/** The design sheet as it will be on paper. */
export function SheetRoom() {
  const c = theCase.value;
  const sheet = useThing('sheet', !!kept.value?.case.design);
  const order = useThing('order');
  const paper = useRef<HTMLDivElement>(null);
  const zoom = useSignal(1);
  const stale = useLong(sheet.busy);
  useEffect(() => {
    if (!paper.current || !sheet.value) return;
    const { svg } = sheet.value;
    svg.setAttribute('role', 'img');
    svg.setAttribute('aria-label', t('sheet.label'));
    paper.current.replaceChildren(svg);
  }, [sheet.value]);
  if (!c) return null;
  return (
    <div class="split">
      <div class="sheetarea">
        {!c.design && <p class="empty">{t('sheet.none')}</p>}
        {c.design && (
          <>
            <div class="viewbar">
              <div class="views">
                {Array.from({ length: sheet.value?.count ?? 1 }, (_, i) => (
                  <button
                    key={`p${i + 1}`}
                    type="button"
                    aria-label={t('sheet.page', { n: i + 1 })}
                    aria-pressed={page.value === i + 1}
                    onClick={() => (page.value = i + 1)}
                  >
                    {i + 1}
                  </button>
                ))}
                <button type="button" aria-label={t('cast.closer')} onClick={() => (zoom.value = Math.min(4, zoom.value * 1.25))}>
                  +
                </button>
                <button type="button" aria-label={t('cast.farther')} onClick={() => (zoom.value = Math.max(0.5, zoom.value / 1.25))}>
                  −
                </button>
                <button type="button" onClick={() => (zoom.value = 1)}>
                  {t('sheet.fit')}
                </button>
              </div>
              <span class="hint" role="status">
                {stale && sheet.value && t('app.anew')}
              </span>
            </div>
            <section class="paperscroll" aria-label={t('sheet.label')} tabIndex={0}>
              <div ref={paper} class={`paper${stale ? ' stale' : ''}`} style={{ width: `${zoom.value * 100}%` }} />
            </section>
          </>
        )}
      </div>
      <aside class="margin">
        <section class="card">
          <h2>{t('order.papers')}</h2>
          <Downloads id={c.case ?? ''} complete={order.value?.gaps.length === 0} />
        </section>
        {order.value && order.value.parts.length > 0 && (
          <section class="card">
            <h2>{t('design.parts')}</h2>
            <ol class="partlist">
              {order.value.parts.map((p) => (
                <li key={p.id} value={p.number}>
                  <strong>{p.title}</strong> {p.where}
                  {p.material && <> · {p.material}</>}
                </li>
              ))}
            </ol>
          </section>
        )}
      </aside>
    </div>
  );
}

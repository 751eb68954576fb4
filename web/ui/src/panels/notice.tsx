import { effect, signal } from '@preact/signals';
import { useLayoutEffect, useRef } from 'preact/hooks';
import { t } from '../words/words';

/** Whether the safety notice was read on this machine. */
export const noticeSeen = signal(localStorage.getItem('notice-read') === '1');
effect(() => {
  if (noticeSeen.value) localStorage.setItem('notice-read', '1');
});

export function Notice() {
  const ref = useRef<HTMLDialogElement>(null);
  useLayoutEffect(() => {
    if (!ref.current?.open) ref.current?.showModal();
  }, []);
  const read = () => {
    noticeSeen.value = true;
  };
  return (
    <dialog ref={ref} class="notice" aria-labelledby="notice-title" onClose={read}>
      <h2 id="notice-title">{t('notice.title')}</h2>
      <p>{t('notice.aid')}</p>
      <p>{t('notice.measured')}</p>
      <p>{t('notice.local')}</p>
      <form method="dialog" onSubmit={read}>
        <button type="submit" class="main">
          {t('app.ok')}
        </button>
      </form>
    </dialog>
  );
}

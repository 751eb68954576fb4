/**
 * Keeps the focus on the page: where what had it goes, as a button that did its work, the
 * nearest part of the page around it takes it over, and not the whole page. It gives what
 * ends the watch.
 */
export function keepFocus(): () => void {
  let trail: readonly Element[] = [];
  const mark = (e: FocusEvent) => {
    const up: Element[] = [];
    for (let at = e.target instanceof Element ? e.target : null; at; at = at.parentElement) up.push(at);
    trail = up;
  };
  const watch = new MutationObserver(() => {
    if (document.activeElement !== document.body || !trail[0] || trail[0].isConnected) return;
    const near =
      trail.find((e) => e.isConnected && e.matches('section, article, aside, form, header, main')) ?? document.querySelector('main');
    trail = [];
    if (!(near instanceof HTMLElement)) return;
    if (!near.hasAttribute('tabindex')) near.tabIndex = -1;
    near.focus({ preventScroll: true });
  });
  document.addEventListener('focusin', mark);
  watch.observe(document.body, { childList: true, subtree: true });
  return () => {
    document.removeEventListener('focusin', mark);
    watch.disconnect();
  };
}

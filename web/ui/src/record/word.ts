import { signal } from '@preact/signals';

/** A word to the user that stays until the next one: a conflict mended, a failure. */
export const notice = signal<{ text: string; kind: 'plain' | 'failure' } | null>(null);

export function tell(text: string, kind: 'plain' | 'failure' = 'plain') {
  notice.value = { text, kind };
}

/** Shows what went wrong with something the user asked for. */
export function fault(e: unknown) {
  if (e instanceof DOMException && e.name === 'AbortError') return;
  tell(e instanceof Error ? e.message : String(e), 'failure');
}

import { signal } from '@preact/signals';

export const rooms = ['chart', 'cast', 'design', 'sheet', 'order'] as const;
export type Room = (typeof rooms)[number];

/** What the address bar names: the list, or a case, the room, and what is chosen in it. */
export interface Address {
  readonly id: string | null;
  readonly room: Room;
  readonly chosen: string | null; // a tooth's number or a part's id
}

function parse(): Address {
  const m = /^\/case\/([^/]+)(?:\/([a-z]+))?/.exec(location.pathname);
  const room = rooms.find((r) => r === m?.[2]) ?? 'chart';
  return { id: m?.[1] ? decodeURIComponent(m[1]) : null, room, chosen: new URLSearchParams(location.search).get('at') };
}

export const address = signal<Address>(parse());
window.addEventListener('popstate', () => move(parse()));

/** Goes elsewhere; what is still being typed is taken over where it belongs. */
function move(to: Address) {
  const at = address.peek();
  const field = document.activeElement;
  if ((to.id !== at.id || to.room !== at.room) && (field instanceof HTMLInputElement || field instanceof HTMLTextAreaElement)) field.blur();
  address.value = to;
}

export function path(a: Address): string {
  if (!a.id) return '/';
  return `/case/${encodeURIComponent(a.id)}/${a.room}${a.chosen ? `?at=${encodeURIComponent(a.chosen)}` : ''}`;
}

export function go(a: Partial<Address>, replace = false) {
  const next = { ...address.peek(), ...a };
  if (path(next) === path(address.peek())) return;
  if (replace) history.replaceState(null, '', path(next));
  else history.pushState(null, '', path(next));
  move(next);
}

/** Chooses a tooth or a part without leaving a trace in the browser's history. */
export const choose = (chosen: string | null) => go({ chosen }, true);

import { batch, computed, signal } from '@preact/signals';
import { ask, calls, Refused } from '../api/calls';
import type { About, CaseFile, PlaceTooth, Problem, State } from '../api/wire';

/** What was asked once at the start. */
export const about = signal<About | null>(null);

/** The case as the server last acknowledged it. */
const acknowledged = signal<State | null>(null);

/**
 * An edit is a pure change of the case, so that it can be made again on top of what
 * another tab saved meanwhile. Edits with the same label that wait one behind the other
 * become one.
 */
interface Edit {
  readonly label: string;
  readonly change: (c: CaseFile) => CaseFile;
}
const waiting = signal<readonly Edit[]>([]);

/** The open case as it is kept, without edits on their way: what the server works from. */
export const kept = computed<State | null>(() => acknowledged.value);

/** The open case with the edits that are still on their way. */
export const open = computed<State | null>(() => {
  const a = acknowledged.value;
  return a && { ...a, case: waiting.value.reduce((c, e) => e.change(c), a.case) };
});

/** The case alone; there is one whenever a room is shown. */
export const theCase = computed<CaseFile | null>(() => open.value?.case ?? null);

/** What the server said against the last edit, and where. */
export const objections = signal<readonly Problem[]>([]);

export type Saving = 'saved' | 'saving' | 'offline';
export const saving = signal<Saving>('saved');

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

const tabs = 'BroadcastChannel' in window ? new BroadcastChannel('halfpear') : null;
tabs?.addEventListener('message', (m: MessageEvent<{ id: string; revision: number }>) => {
  const a = acknowledged.peek();
  if (a && m.data.id === a.case.case && m.data.revision !== a.revision) void refresh();
});
document.addEventListener('visibilitychange', () => {
  if (document.visibilityState === 'visible') void refresh();
});

/** Takes in what another tab saved; edits on their way stay on top of it. */
async function refresh() {
  const a = acknowledged.peek();
  if (!a || running) return;
  try {
    const now = await calls.open(a.case.case ?? '');
    if (!running && acknowledged.peek() === a && now.revision !== a.revision) acknowledged.value = now;
  } catch {
    // the next save will say so
  }
}

export async function openCase(id: string) {
  if (acknowledged.peek()?.case.case === id) return;
  acknowledged.value = null;
  waiting.value = [];
  objections.value = [];
  acknowledged.value = await calls.open(id);
}

export function closeCase() {
  acknowledged.value = null;
}

/** Takes over a state that the server gave as the answer to something else than an edit. */
export function take(s: State) {
  batch(() => {
    acknowledged.value = s;
    objections.value = [];
  });
  tabs?.postMessage({ id: s.case.case ?? '', revision: s.revision });
}

export function edit(label: string, change: (c: CaseFile) => CaseFile) {
  const w = waiting.peek();
  const last = w.at(-1);
  if (last && last.label === label && w.length > (running ? 1 : 0)) {
    waiting.value = [...w.slice(0, -1), { label, change: (c) => change(last.change(c)) }];
  } else {
    waiting.value = [...w, { label, change }];
  }
  void send();
}

let running = false;

async function send() {
  if (running) return;
  running = true;
  saving.value = 'saving';
  try {
    for (;;) {
      const a = acknowledged.peek();
      const e = waiting.peek()[0];
      if (!a || !e) break;
      const id = a.case.case ?? '';
      try {
        const now = await calls.save(id, { base: a.revision, label: e.label, case: e.change(a.case) });
        batch(() => {
          acknowledged.value = now;
          waiting.value = waiting.peek().slice(1);
          objections.value = [];
        });
        tabs?.postMessage({ id, revision: now.revision });
      } catch (err) {
        if (!(err instanceof Refused)) {
          saving.value = 'offline';
          setTimeout(() => void send(), 2000);
          return;
        }
        if (err.status === 409) {
          acknowledged.value = await calls.open(id); // and once more, on top of that
          continue;
        }
        batch(() => {
          waiting.value = waiting.peek().slice(1);
          objections.value = err.failure.problems ?? [];
          if (!err.failure.problems?.length) fault(err);
        });
      }
    }
    saving.value = 'saved';
  } finally {
    running = false;
  }
}

async function step(f: typeof calls.undo) {
  const a = acknowledged.peek();
  if (!a || running) return;
  try {
    take(await f(a.case.case ?? '', { base: a.revision }));
  } catch (e) {
    if (e instanceof Refused && e.status === 409) void refresh();
    else fault(e);
  }
}

export const undo = () => step(calls.undo);
export const redo = () => step(calls.redo);

/** Tells the server where a tooth is on the scan, or that it is where the program found it. */
export function place(id: string, what: Partial<PlaceTooth>) {
  if (!open.value) return Promise.resolve();
  const whole: PlaceTooth = { base: open.value.revision, tooth: 0, point: null, margin: null, remove: false, confirm: false, ...what };
  return ask<State>('POST', `/cases/${id}/scan/place`, whole).then(take).catch(fault);
}

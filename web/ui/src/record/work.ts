import { computed, signal } from '@preact/signals';
import { useEffect, useRef, useState } from 'preact/hooks';
import { Refused } from '../api/calls';
import type { Progress } from '../api/wire';
import { fault, notice } from './word';

/** Why work ended that the user broke off; other work ends because its answer is of no use any more. */
export const brokenOff = new DOMException('broken off by the user', 'AbortError');

interface Job {
  readonly stop: AbortController | null;
  readonly said: Progress;
  readonly slow: boolean;
}

const jobs = signal<readonly Job[]>([]);

/** Work shorter than this is not spoken of, in milliseconds. */
const patience = 300;

/** Does a piece of work that can be heard of and, with something to stop it by, broken off. */
export async function work<S extends AbortController | null, T>(
  stop: S,
  f: (stop: S extends AbortController ? AbortSignal : undefined, hear: (p: Progress) => void) => Promise<T>,
): Promise<T> {
  let job: Job = { stop, said: {}, slow: false };
  jobs.value = [...jobs.peek(), job];
  const set = (next: Partial<Job>) => {
    const old = job;
    job = { ...old, ...next };
    jobs.value = jobs.peek().map((j) => (j === old ? job : j));
  };
  const slow = setTimeout(() => set({ slow: true }), patience);
  try {
    return await f(stop?.signal as Parameters<typeof f>[0], (said) => set({ said }));
  } finally {
    clearTimeout(slow);
    jobs.value = jobs.peek().filter((j) => j !== job);
  }
}

/** What is being done and takes long: the one that has most to say of itself. */
export const doing = computed<Progress | null>(() => {
  const slow = jobs.value.filter((j) => j.slow);
  return (slow.find((j) => j.said.step) ?? slow[0])?.said ?? null;
});

/** Whether any of it can be broken off. */
export const stoppable = computed(() => jobs.value.some((j) => j.slow && j.stop));

export function breakOff() {
  for (const j of jobs.peek()) j.stop?.abort(brokenOff);
}

/** Work that ended without its result, by what it is for, and how it is taken up again. */
interface Unfinished {
  readonly why: 'stopped' | 'failed';
  readonly again: () => void;
}
const unfinished = signal<ReadonlyMap<object, Unfinished>>(new Map());

/** Why work lies there that can be taken up again; null where none does. */
export const halted = computed(() => unfinished.value.values().next().value?.why ?? null);

/** Lays work by, to be taken up again; false where doing it again would end the same way. */
export function layBy(what: object, e: unknown, again: () => void): boolean {
  const why = e === brokenOff ? 'stopped' : 'failed';
  if (why === 'failed' && e instanceof Refused && e.status < 500) return false;
  unfinished.value = new Map(unfinished.peek()).set(what, { why, again });
  return true;
}

/** Work that was laid by is of no use any more. */
export function forget(what: object) {
  if (!unfinished.peek().has(what)) return;
  const rest = new Map(unfinished.peek());
  rest.delete(what);
  unfinished.value = rest;
}

/** Takes up again what was broken off or failed. */
export function goOn() {
  const all = [...unfinished.peek().values()];
  unfinished.value = new Map();
  notice.value = null;
  for (const u of all) u.again();
}

/** Whether something has gone on for longer than is not spoken of. */
export function useLong(busy: boolean): boolean {
  const [long, set] = useState(false);
  useEffect(() => {
    if (!busy) return;
    const timer = setTimeout(() => set(true), patience);
    return () => {
      clearTimeout(timer);
      set(false);
    };
  }, [busy]);
  return busy && long;
}

/** Does one thing at a time: to ask for another while it is being done is the same click again. */
export function useOnce(): (f: () => Promise<unknown>) => void {
  const busy = useRef(false);
  return (f) => {
    if (busy.current) return;
    busy.current = true;
    f()
      .catch(fault)
      .finally(() => {
        busy.current = false;
      });
  };
}

/**
 * Fetches what the page cannot do without; where it fails it can be tried again. What it
 * gives is called when the result is of no use any more.
 */
export function fetched<T>(f: () => Promise<T>, then: (v: T) => void): () => void {
  const what = {};
  let wanted = true;
  const go = () => {
    work(null, f)
      .then((v) => {
        if (wanted) then(v);
      })
      .catch((e: unknown) => {
        if (!wanted) return;
        layBy(what, e, go);
        fault(e);
      });
  };
  go();
  return () => {
    wanted = false;
    forget(what);
  };
}

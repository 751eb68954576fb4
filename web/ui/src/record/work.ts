import { computed, signal } from '@preact/signals';
import type { Progress } from '../api/wire';

/** Why work ended that the user broke off; other work ends because its answer is of no use any more. */
export const brokenOff = new DOMException('broken off by the user', 'AbortError');

interface Job {
  readonly stop: AbortController;
  readonly said: Progress;
  readonly slow: boolean;
}

const jobs = signal<readonly Job[]>([]);
/** Whether work lies there that the user broke off. */
export const halted = signal(false);

/** Work shorter than this is not spoken of, in milliseconds. */
const patience = 300;

/** Does a piece of work that can be heard of and broken off. */
export async function work<T>(stop: AbortController, f: (stop: AbortSignal, hear: (p: Progress) => void) => Promise<T>): Promise<T> {
  let job: Job = { stop, said: {}, slow: false };
  jobs.value = [...jobs.peek(), job];
  const set = (next: Partial<Job>) => {
    const old = job;
    job = { ...old, ...next };
    jobs.value = jobs.peek().map((j) => (j === old ? job : j));
  };
  const slow = setTimeout(() => set({ slow: true }), patience);
  try {
    return await f(stop.signal, (said) => set({ said }));
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

export function breakOff() {
  for (const j of jobs.peek()) j.stop.abort(brokenOff);
}

import { type ReadonlySignal, signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { ask } from '../api/calls';
import type { Plan } from '../api/wire';
import { fault, open } from './record';

/** What the server works out from a case, and the key of the state it was made from. */
interface Things {
  readonly plan: Plan;
}

interface Kept<T> {
  readonly value: ReadonlySignal<T | null>;
  readonly set: (v: T | null) => void;
  key: string;
  stop: AbortController | null;
}

const kept = new Map<string, Kept<unknown>>();

/** Which state of the case a thing depends on. */
function keyOf(name: keyof Things): string {
  const s = open.value;
  if (!s) return '';
  const own = { plan: s.cast_key }[name];
  return `${s.case.case} ${own}`;
}

/**
 * A thing that the server makes of the case, fetched when it is first needed and again when
 * what it depends on has changed. The old one stays until the new one is there; work for a
 * state that has passed is broken off.
 */
export function useThing<K extends keyof Things>(name: K): ReadonlySignal<Things[K] | null> {
  let k = kept.get(name) as Kept<Things[K]> | undefined;
  if (!k) {
    const s = signal<Things[K] | null>(null);
    k = {
      value: s,
      set: (v) => {
        s.value = v;
      },
      key: '',
      stop: null,
    };
    kept.set(name, k as Kept<unknown>);
  }
  const it = k;
  const key = keyOf(name);
  useEffect(() => {
    if (!key || it.key === key) return;
    if (it.key.split(' ')[0] !== key.split(' ')[0]) it.set(null); // another case's
    it.stop?.abort();
    it.stop = new AbortController();
    it.key = key;
    ask<Things[K]>('GET', `/cases/${key.split(' ')[0]}/${name}`, undefined, it.stop.signal)
      .then((v) => {
        if (it.key === key) it.set(v);
      })
      .catch((e) => {
        if (it.key === key) it.key = '';
        fault(e);
      });
  }, [key]);
  return it.value;
}

import { type ReadonlySignal, signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { ask, bytes, drawing } from '../api/calls';
import type { Cast, Judged, Laid, OrderForm, Plan, Progress, Proposals, Reckoned, State, Surveyed, TiltMap } from '../api/wire';
import { language } from '../words/words';
import { page } from './page';
import { kept as keptCase } from './record';
import { surveyTilt } from './tilt';
import { fault } from './word';
import { forget, layBy, work } from './work';

/** What the server works out from a case. */
export interface Things {
  readonly plan: Plan;
  readonly cast: Cast;
  readonly mesh: ArrayBuffer;
  readonly labels: Uint8Array;
  readonly survey: Surveyed;
  readonly depth: Float32Array;
  readonly tilt: TiltMap;
  readonly proposals: Proposals;
  readonly laid: Laid;
  readonly judged: Judged;
  readonly reckoned: Reckoned;
  readonly order: OrderForm;
  readonly sheet: { readonly svg: SVGSVGElement; readonly count: number };
}

const tiltOf = (_: State) => `anterior=${surveyTilt.value.anterior}&right=${surveyTilt.value.right}`;

/** Where each is fetched, and which state of the case it depends on. */
const sources: {
  readonly [K in keyof Things]: {
    path: (s: State) => string;
    key: (s: State) => string;
    fetch: (path: string, stop: AbortSignal, hear: (p: Progress) => void) => Promise<Things[K]>;
  };
} = {
  plan: { path: () => '/plan', key: (s) => s.cast_key, fetch: json },
  cast: {
    path: () => `/cast?lang=${language.value}`,
    key: (s) => `${language.value} ${s.cast_key} ${s.case.scan?.proposed ?? ''} ${Object.keys(s.case.scan?.points ?? {})}`,
    fetch: json,
  },
  // A scan's triangles come once; where they lie, and whose they are, comes with each cast.
  mesh: { path: () => '/cast/mesh', key: (s) => s.case.scan?.file ?? s.cast_key, fetch: bytes },
  labels: { path: () => '/cast/labels', key: (s) => s.cast_key, fetch: async (p, stop) => new Uint8Array(await bytes(p, stop)) },
  survey: {
    path: (s) => `/survey?${tiltOf(s)}&lang=${language.value}`,
    key: (s) => `${language.value} ${s.cast_key} ${tiltOf(s)} ${JSON.stringify(s.case.survey?.undercuts ?? {})}`,
    fetch: json,
  },
  depth: {
    path: (s) => `/survey/depth?${tiltOf(s)}`,
    key: (s) => `${s.surface_key} ${tiltOf(s)}`,
    fetch: async (p, stop) => new Float32Array(await bytes(p, stop)),
  },
  tilt: {
    path: () => `/tilt?lang=${language.value}`,
    key: (s) => `${language.value} ${s.cast_key} ${JSON.stringify(s.case.design ?? {})} ${s.case.profile ?? ''}`,
    fetch: json,
  },
  proposals: {
    path: (s) => `/proposals?lang=${language.value}&school=${encodeURIComponent(s.case.profile ?? '')}`,
    key: (s) => `${s.cast_key} ${findings(s)} ${s.case.profile ?? ''} ${language.value}`,
    fetch: json,
  },
  laid: {
    path: () => `/placement?lang=${language.value}`,
    key: (s) =>
      `${s.cast_key} ${JSON.stringify(s.case.survey ?? {})} ${JSON.stringify(s.case.design ?? {})} ${s.case.profile ?? ''} ${language.value}`,
    fetch: json,
  },
  judged: { path: () => `/findings?lang=${language.value}`, key: (s) => `${s.revision} ${language.value}`, fetch: json },
  reckoned: {
    path: () => `/mechanics?lang=${language.value}`,
    key: (s) => `${s.cast_key} ${findings(s)} ${JSON.stringify(s.case.design ?? {})} ${language.value}`,
    fetch: json,
  },
  order: { path: () => `/order?lang=${language.value}`, key: (s) => `${s.revision} ${language.value}`, fetch: json },
  sheet: {
    path: () => `/sheet.svg?lang=${language.value}&page=${page.value}`,
    key: (s) => `${s.revision} ${language.value} ${page.value}`,
    fetch: async (path, stop, hear) => {
      await ask('GET', `${path}&ready=1`, undefined, stop, hear);
      return drawing(path, stop);
    },
  },
};

/** Everything that was found or chosen apart from the design itself. */
function findings(s: State): string {
  const { teeth, tissues, patient, opposing, survey } = s.case;
  return JSON.stringify({ teeth, tissues, patient, opposing, survey });
}

function json<T>(path: string, stop: AbortSignal, hear: (p: Progress) => void): Promise<T> {
  return ask<T>('GET', path, undefined, stop, hear);
}

interface Kept<T> {
  readonly value: ReturnType<typeof signal<Thing<T>>>;
  key: string;
  id: string;
  stop: AbortController | null;
  users: number; // parts of the page that show it
}

/** A thing, and whether a newer one is on its way. */
export interface Thing<T> {
  readonly value: T | null;
  readonly busy: boolean;
}

const nothing = { value: null, busy: false } as const;
const kept = new Map<keyof Things, Kept<unknown>>();

const again = signal(0);

/** Fetches a thing again although the case has not changed. */
export function refetch(name: keyof Things) {
  const k = kept.get(name);
  if (k) k.key = '';
  again.value++;
}

/**
 * A thing that the server makes of the case, fetched when it is first needed and again when
 * what it depends on has changed. The old one stays until the new one is there; work for a
 * state that has passed is broken off.
 */
export function useThing<K extends keyof Things>(name: K, wanted = true): Thing<Things[K]> {
  let k = kept.get(name) as Kept<Things[K]> | undefined;
  if (!k) {
    k = { value: signal<Thing<Things[K]>>(nothing), key: '', id: '', stop: null, users: 0 };
    kept.set(name, k as Kept<unknown>);
  }
  const it = k;
  const source = sources[name];
  const s = keptCase.value;
  const id = s?.case.case ?? '';
  const key = s && wanted ? `${id} ${source.key(s)}` : '';
  useEffect(() => {
    it.users++;
    return () => {
      // What was laid by is begun anew where it is next shown.
      if (--it.users === 0) forget(it);
    };
  }, []);
  useEffect(() => {
    if (!key || !s || it.key === key) return;
    it.stop?.abort();
    forget(it);
    const stop = new AbortController();
    it.stop = stop;
    const old = it.id === id ? (it.value.peek()?.value ?? null) : null; // another case's is of no use
    it.key = key;
    it.id = id;
    it.value.value = { value: old, busy: true };
    const path = `/cases/${encodeURIComponent(id)}${source.path(s)}`;
    work(stop, (signal, hear) => source.fetch(path, signal, hear))
      .then((value) => {
        if (it.stop === stop) it.value.value = { value, busy: false };
      })
      .catch((e: unknown) => {
        if (it.stop !== stop) return;
        it.key = '';
        const later = it.users > 0 && layBy(it, e, () => again.value++);
        it.value.value = { value: later ? old : null, busy: later };
        fault(e);
      });
  }, [key, again.value]);
  return (it.value as ReadonlySignal<Thing<Things[K]>>).value;
}

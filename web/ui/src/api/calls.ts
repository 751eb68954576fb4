import { language, t } from '../words/words';
import type { About, Failure, Listed, OnTop, Progress, Save, State, Step } from './wire';

/** A request that could not be carried out, in words for the user. */
export class Refused extends Error {
  constructor(
    readonly status: number,
    readonly failure: Failure,
  ) {
    super(failure.error);
  }
}

async function failed(res: Response): Promise<Refused> {
  const text = await res.text();
  try {
    return new Refused(res.status, JSON.parse(text) as Failure);
  } catch {
    return new Refused(res.status, { error: text.trim() || `${res.status}` });
  }
}

const lines = 'application/x-ndjson';

/** Asks the server, which speaks the page's language to people. */
async function reach(path: string, init: RequestInit = {}): Promise<Response> {
  const headers = { ...(init.headers as Record<string, string>), 'Accept-Language': language.value };
  const res = await fetch(`/api${path}`, { credentials: 'same-origin', ...init, headers }).catch((e: unknown) => {
    throw e instanceof TypeError ? new Error(t('app.unreachable')) : e;
  });
  if (!res.ok) throw await failed(res);
  return res;
}

/** Asks the server; a failure is thrown as Refused. Who wants to hear how far the work has come gives hear. */
export async function ask<T>(method: string, path: string, body?: unknown, signal?: AbortSignal, hear?: (p: Progress) => void): Promise<T> {
  const headers: Record<string, string> = hear ? { Accept: lines } : {};
  const init: RequestInit = { method, signal: signal ?? null, headers };
  if (body instanceof Blob || body instanceof ArrayBuffer) {
    init.body = body;
  } else if (body !== undefined) {
    init.body = JSON.stringify(body);
    headers['Content-Type'] = 'application/json';
  }
  const res = await reach(path, init);
  if (!hear || !res.body || !res.headers.get('Content-Type')?.startsWith(lines)) return (await res.json()) as T;
  const text = res.body.pipeThrough(new TextDecoderStream()).getReader();
  for (let rest = ''; ; ) {
    const { value, done } = await text.read();
    const parts = (rest + (value ?? '')).split('\n');
    rest = parts.pop() ?? '';
    for (const part of parts) {
      const p = JSON.parse(part) as Progress;
      if (p.failed) throw new Refused(p.status ?? 500, p.failed);
      if ('done' in p) return p.done as T;
      hear(p);
    }
    if (done) throw new Refused(500, { error: t('app.brokeoff') });
  }
}

/** Fetches bytes, as of a mesh. */
export async function bytes(path: string, signal?: AbortSignal): Promise<ArrayBuffer> {
  const res = await reach(path, { signal: signal ?? null });
  return res.arrayBuffer();
}

/** Fetches a drawing as a document that can be put into the page. */
export async function drawing(path: string, signal?: AbortSignal): Promise<{ svg: SVGSVGElement; count: number }> {
  const res = await reach(path, { signal: signal ?? null });
  const doc = new DOMParser().parseFromString(await res.text(), 'image/svg+xml');
  return {
    svg: document.importNode(doc.documentElement, true) as unknown as SVGSVGElement,
    count: Number(res.headers.get('X-Sheets') ?? 1),
  };
}

const at = (id: string) => `/cases/${encodeURIComponent(id)}`;

export const calls = {
  about: () => ask<About>('GET', '/about'),
  list: (query: string) => ask<Listed[]>('GET', `/cases?q=${encodeURIComponent(query)}`),
  create: (arch: 'upper' | 'lower', title: string) => ask<State>('POST', '/cases', { arch, title }),
  open: (id: string) => ask<State>('GET', at(id)),
  save: (id: string, save: Save) => ask<State>('PUT', at(id), save),
  remove: (id: string) => ask<object>('DELETE', at(id)),
  undo: (id: string, onTop: OnTop) => ask<State>('POST', `${at(id)}/undo`, onTop),
  redo: (id: string, onTop: OnTop) => ask<State>('POST', `${at(id)}/redo`, onTop),
  restore: (id: string, onTop: OnTop) => ask<State>('POST', `${at(id)}/restore`, onTop),
  duplicate: (id: string) => ask<State>('POST', `${at(id)}/duplicate`),
  history: (id: string) => ask<Step[]>('GET', `${at(id)}/history`),
  example: (stop: AbortSignal, hear: (p: Progress) => void) => ask<State>('POST', '/cases/example', undefined, stop, hear),
  import: (file: Blob) => ask<State>('POST', '/cases/import', file),
  exportPath: (id: string) => `/api${at(id)}/export`,
};

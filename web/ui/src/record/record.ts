import { batch, computed, signal } from '@preact/signals';
import { ask, calls, Refused } from '../api/calls';
import type { About, CaseFile, Cast, PlaceTooth, Problem, State } from '../api/wire';
import { fault } from './word';
import { fetched } from './work';

/** What was asked once at the start. */
export const about = signal<About | null>(null);

/**
 * An edit is a pure change of the case, so that it can be made again on top of what
 * another tab saved meanwhile. Edits with the same label that wait one behind the other
 * become one.
 */
interface Edit {
  readonly label: string;
  readonly change: (c: CaseFile) => CaseFile;
}

/** A change that the server makes, as an undo; it waits its turn among the edits. */
interface Errand {
  readonly label: string;
  readonly run: (base: number) => Promise<State>;
  /** Whether it means the same on top of what another tab saved meanwhile. */
  readonly lasting: boolean;
  readonly done: (s: State) => void;
  readonly failed: (e: unknown) => void;
}

type Turn = Edit | Errand;
const isEdit = (t: Turn): t is Edit => 'change' in t;

export type Saving = 'saved' | 'saving' | 'offline';

/** How long until a server that did not answer is asked again, in milliseconds. */
const pause = 2000;

const tabs = 'BroadcastChannel' in window ? new BroadcastChannel('halfpear') : null;

/**
 * A case on the desk: as the server last acknowledged it, and what is on its way there, one
 * after another. A case that is put away stays until the last of it is saved.
 */
class Desk {
  readonly acknowledged = signal<State | null>(null);
  readonly turns = signal<readonly Turn[]>([]);
  /** What the server said against the last edit, and where. */
  readonly objections = signal<readonly Problem[]>([]);
  readonly saving = signal<Saving>('saved');
  /** Gives up opening it. */
  close = () => {};
  private running = false;

  constructor(readonly id: string) {}

  /** Whether only this page knows something of it. */
  get busy() {
    return this.running || this.turns.peek().length > 0;
  }

  /** Takes over what the server holds now, with which the turn that asked for it is over. */
  take(s: State, turn?: Turn) {
    batch(() => {
      this.acknowledged.value = s;
      this.objections.value = [];
      this.turns.value = this.turns.peek().filter((t) => t !== turn);
    });
    tabs?.postMessage({ id: this.id, revision: s.revision });
    if (this !== desk.peek()) elsewhere.value++;
  }

  edit(label: string, change: Edit['change']) {
    const w = this.turns.peek();
    const last = w.at(-1);
    if (last && isEdit(last) && last.label === label && w.length > (this.running ? 1 : 0)) {
      this.turns.value = [...w.slice(0, -1), { label, change: (c) => change(last.change(c)) }];
    } else {
      this.turns.value = [...w, { label, change }];
    }
    void this.send();
  }

  errand(label: string, lasting: boolean, run: Errand['run']): Promise<State> {
    return new Promise((done, failed) => {
      this.turns.value = [...this.turns.peek(), { label, run, lasting, done, failed }];
      void this.send();
    });
  }

  /** Takes back the last edit where the server cannot be told of it; false where there is none. */
  drop(): boolean {
    const w = this.turns.peek();
    const last = w.at(-1);
    if (this.running || !last || !isEdit(last)) return false;
    this.turns.value = w.slice(0, -1);
    if (w.length === 1) this.saving.value = 'saved';
    return true;
  }

  /** Takes in what another tab saved; edits on their way stay on top of it. */
  async refresh() {
    const a = this.acknowledged.peek();
    if (!a || this.running) return;
    try {
      const now = await calls.open(this.id);
      if (!this.running && this.acknowledged.peek() === a && now.revision !== a.revision) this.acknowledged.value = now;
    } catch {
      // the next save will say so
    }
  }

  private async send() {
    if (this.running) return;
    this.running = true;
    const told = this.saving.peek() === 'offline';
    if (!told) this.saving.value = 'saving';
    let behind = false; // another tab saved meanwhile
    for (;;) {
      const a = this.acknowledged.peek();
      const turn = this.turns.peek()[0];
      if (!a || !(turn || behind)) break;
      try {
        if (behind || !turn) {
          this.acknowledged.value = await calls.open(this.id);
          behind = false;
        } else if (isEdit(turn)) {
          this.take(await calls.save(this.id, { base: a.revision, label: turn.label, case: turn.change(a.case) }), turn);
        } else {
          const now = await turn.run(a.revision);
          this.take(now, turn);
          turn.done(now);
        }
      } catch (e) {
        const refused = e instanceof Refused && e.status < 500;
        if (!behind && refused && e.status === 409) {
          behind = true;
          if (turn && !isEdit(turn) && !turn.lasting) this.refuse(turn, e);
        } else if (turn && isEdit(turn) && !refused) {
          // Nothing that was entered is given up because the server could not take it.
          this.running = false;
          this.saving.value = 'offline';
          if (e instanceof Refused && !told) fault(e);
          setTimeout(() => void this.send(), pause);
          return;
        } else {
          behind = false;
          if (turn) this.refuse(turn, e);
        }
      }
    }
    this.running = false;
    this.saving.value = 'saved';
    if (this !== desk.peek()) desks.delete(this.id);
  }

  private refuse(turn: Turn, e: unknown) {
    const problems = e instanceof Refused ? (e.failure.problems ?? []) : [];
    batch(() => {
      this.turns.value = this.turns.peek().filter((t) => t !== turn);
      if (isEdit(turn)) this.objections.value = problems;
    });
    if (!isEdit(turn)) turn.failed(e);
    else if (!problems.length) fault(e);
  }
}

/** The cases that are open, or of which something is still on its way. */
const desks = new Map<string, Desk>();
const desk = signal<Desk | null>(null);

function deskOf(id: string): Desk {
  const d = desks.get(id) ?? new Desk(id);
  desks.set(id, d);
  return d;
}

/** Counts what is saved of cases that are not open here. */
export const elsewhere = signal(0);

/** The open case as it is kept, without edits on their way: what the server works from. */
export const kept = computed<State | null>(() => desk.value?.acknowledged.value ?? null);

/** The open case with the edits that are still on their way. */
export const open = computed<State | null>(() => {
  const a = kept.value;
  const edits = desk.value?.turns.value.filter(isEdit) ?? [];
  const last = edits.at(-1);
  return a && last ? { ...a, case: edits.reduce((c, e) => e.change(c), a.case), undo: last.label, redo: '' } : a;
});

/** The case alone; there is one whenever a room is shown. */
export const theCase = computed<CaseFile | null>(() => open.value?.case ?? null);

/** What the server said against the last edit, and where. */
export const objections = computed<readonly Problem[]>(() => desk.value?.objections.value ?? []);

export const saving = computed<Saving>(() => desk.value?.saving.value ?? 'saved');

/** Whether something with this label is on its way to the server. */
export const onItsWay = (label: string) => desk.value?.turns.value.some((t) => t.label === label) ?? false;

tabs?.addEventListener('message', (m: MessageEvent<{ id: string; revision: number }>) => {
  const d = desk.peek();
  if (d?.id !== m.data.id) elsewhere.value++;
  else if (m.data.revision !== d.acknowledged.peek()?.revision) void d.refresh();
});
document.addEventListener('visibilitychange', () => {
  if (document.visibilityState === 'visible') void desk.peek()?.refresh();
});
window.addEventListener('beforeunload', (e) => {
  if ([...desks.values()].some((d) => d.busy)) e.preventDefault(); // the browser asks whether to leave
});

export function openCase(id: string) {
  if (desk.peek()?.id === id) return;
  closeCase();
  const d = deskOf(id);
  desk.value = d;
  if (!d.acknowledged.peek())
    d.close = fetched(
      () => calls.open(id),
      (s) => {
        d.acknowledged.value ??= s;
      },
    );
}

export function closeCase() {
  const d = desk.peek();
  if (!d) return;
  d.close();
  if (!d.busy) desks.delete(d.id);
  desk.value = null;
}

/** Takes over a case that the server has begun. */
export function take(s: State) {
  deskOf(s.case.case ?? '').take(s);
}

export function edit(label: string, change: Edit['change']) {
  desk.peek()?.edit(label, change);
}

/** Has the server change the open case, once all that was edited before is saved. */
export function errand(label: string, run: Errand['run']): Promise<State> {
  const d = desk.peek();
  return d ? d.errand(label, true, run) : Promise.reject(new DOMException('no case is open', 'AbortError'));
}

/** Waits until all that was edited is saved, and gives the case as the server then holds it. */
export function saved(): Promise<State> {
  const d = desk.peek();
  return errand('', async () => d?.acknowledged.peek() as State);
}

async function step(name: 'undo' | 'redo') {
  const d = desk.peek();
  if (!d || (name === 'undo' && d.drop())) return;
  // What there was to take back may be gone by its turn.
  const run = async (base: number) => {
    const a = d.acknowledged.peek() as State;
    return a[name] ? calls[name](d.id, { base }) : a;
  };
  await d.errand(name, false, run).catch((e: unknown) => {
    if (!(e instanceof Refused && e.status === 409)) fault(e); // else another tab was faster, and its state is shown
  });
}

export const undo = () => step('undo');
export const redo = () => step('redo');

/**
 * Tells the server where a tooth is on the scan, or that it is where the program found it;
 * what is pointed out lies in the frame of the cast that was shown. Gives whether it was taken.
 */
export function place(shown: Cast, what: Partial<PlaceTooth>): Promise<boolean> {
  const id = desk.peek()?.id ?? '';
  const whole = { tooth: 0, point: null, margin: null, remove: false, confirm: false, frame: shown.frame, ...what };
  return errand('place', (base) =>
    ask<State>('POST', `/cases/${encodeURIComponent(id)}/scan/place`, { ...whole, base } satisfies PlaceTooth),
  ).then(
    () => true,
    (e: unknown) => {
      fault(e);
      return false;
    },
  );
}

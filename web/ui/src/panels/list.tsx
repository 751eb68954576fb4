import { useSignal } from '@preact/signals';
import { useEffect, useId, useRef } from 'preact/hooks';
import { calls } from '../api/calls';
import type { Listed, State } from '../api/wire';
import { address, go, type Room } from '../record/address';
import { elsewhere, take } from '../record/record';
import { fetched, useOnce, work } from '../record/work';
import { t, when } from '../words/words';
import { FileButton } from './fields';

/** Opens a case that the server has begun, unless the user has gone to another one meanwhile. */
function enter(s: State, room: Room) {
  if (address.peek().id !== null) return;
  take(s);
  go({ id: s.case.case ?? null, room, chosen: null });
}

/** All cases, and the ways to begin one. */
export function CaseList() {
  const query = useSignal('');
  const list = useSignal<readonly Listed[] | null>(null);
  const giveUp = useRef(() => {});
  const load = () => {
    giveUp.current(); // an older answer that comes late says nothing
    giveUp.current = fetched(
      () => calls.list(query.peek()),
      (l) => {
        list.value = l;
      },
    );
  };
  useEffect(load, [elsewhere.value]);
  useEffect(() => () => giveUp.current(), []);
  const search = useId();
  return (
    <div class="room list">
      <h1>{t('list.title')}</h1>
      <div class="listgrid">
        <section>
          <p class="search">
            <label for={search}>{t('list.search')}</label>
            <input
              id={search}
              type="search"
              value={query.value}
              onInput={(e) => {
                query.value = e.currentTarget.value;
                load();
              }}
            />
          </p>
          {list.value && list.value.length === 0 && (
            <div class="empty">
              <p>{t(query.value ? 'list.none' : 'list.empty')}</p>
              {!query.value && <Example />}
            </div>
          )}
          {list.value && list.value.length > 0 && (
            <table class="cases">
              <thead>
                <tr>
                  <th scope="col">{t('list.number')}</th>
                  <th scope="col">{t('chart.title')}</th>
                  <th scope="col">{t('list.arch')}</th>
                  <th scope="col">{t('list.class')}</th>
                  <th scope="col">{t('list.changed')}</th>
                  <th scope="col">{t('list.actions')}</th>
                </tr>
              </thead>
              <tbody>
                {list.value.map((c) => (
                  <CaseRow key={c.case} c={c} reload={load} />
                ))}
              </tbody>
            </table>
          )}
        </section>
        <NewCase />
      </div>
    </div>
  );
}

/** A made-up case with every room filled, for who comes first. */
function Example() {
  const once = useOnce();
  return (
    <>
      <p>{t('list.example.what')}</p>
      <button
        type="button"
        class="main"
        onClick={() => once(() => work(new AbortController(), calls.example).then((s) => enter(s, 'design')))}
      >
        {t('list.example')}
      </button>
    </>
  );
}

function CaseRow({ c, reload }: { c: Listed; reload: () => void }) {
  const once = useOnce();
  const open = () => go({ id: c.case, room: 'chart', chosen: null });
  return (
    <tr>
      <td>
        <a
          href={`/case/${c.case}/chart`}
          aria-label={t('list.open', { case: c.case })}
          onClick={(e) => {
            e.preventDefault();
            open();
          }}
        >
          {c.case}
        </a>
      </td>
      <td>{c.title || t('list.untitled')}</td>
      <td>{t(c.arch === 'upper' ? 'arch.upper' : 'arch.lower')}</td>
      <td>{c.class}</td>
      <td>{when(c.changed)}</td>
      <td class="actions">
        <a href={calls.exportPath(c.case)} download>
          {t('list.export')}
        </a>
        <button type="button" onClick={(e) => e.detail < 2 && once(() => calls.duplicate(c.case).then(reload))}>
          {t('list.duplicate')}
        </button>
        <button
          type="button"
          onClick={() => {
            if (confirm(t('list.remove.sure', { case: c.case }))) once(() => calls.remove(c.case).then(reload));
          }}
        >
          {t('list.remove')}
        </button>
      </td>
    </tr>
  );
}

function NewCase() {
  const title = useSignal('');
  const arch = useSignal<'lower' | 'upper'>('lower');
  const once = useOnce();
  const name = useId();
  return (
    <section class="slip" aria-labelledby="newcase">
      <h2 id="newcase">{t('list.new')}</h2>
      <form
        onSubmit={(e) => {
          e.preventDefault();
          once(() => work(null, () => calls.create(arch.value, title.value.trim())).then((s) => enter(s, 'chart')));
        }}
      >
        <fieldset class="arches">
          <legend>{t('list.arch')}</legend>
          {(['lower', 'upper'] as const).map((a) => (
            <label key={a}>
              <input
                type="radio"
                name="arch"
                checked={arch.value === a}
                onChange={() => {
                  arch.value = a;
                }}
              />{' '}
              {t(`list.${a}`)}
            </label>
          ))}
        </fieldset>
        <div class="row">
          <label for={name}>{t('list.name')}</label>
          <input
            id={name}
            class="wide"
            autocomplete="off"
            value={title.value}
            onInput={(e) => {
              title.value = e.currentTarget.value;
            }}
          />
        </div>
        <button type="submit" class="main">
          {t('list.create')}
        </button>
      </form>
      <FileButton
        label={t('list.import')}
        accept=".yaml,.yml,.json,.zip"
        take={(f) => once(() => work(null, () => calls.import(f)).then((s) => enter(s, 'chart')))}
      />
    </section>
  );
}

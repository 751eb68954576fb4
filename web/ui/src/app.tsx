import { effect, useComputed, useSignal } from '@preact/signals';
import { useEffect, useLayoutEffect, useRef } from 'preact/hooks';
import { calls } from './api/calls';
import type { Step } from './api/wire';
import { CastRoom } from './panels/cast';
import { ChartRoom } from './panels/chart';
import { DesignRoom } from './panels/design';
import { useDraft } from './panels/fields';
import { label } from './panels/labels';
import { CaseList } from './panels/list';
import { Notice, noticeSeen } from './panels/notice';
import { OrderRoom } from './panels/order';
import { SheetRoom } from './panels/sheet';
import { address, go, path, type Room, rooms } from './record/address';
import { keepFocus } from './record/focus';
import { about, closeCase, edit, errand, open, openCase, redo, saving, undo } from './record/record';
import { fault, notice } from './record/word';
import { breakOff, doing, fetched, goOn, halted, stoppable } from './record/work';
import { type Theme, theme } from './style/theme';
import { type Key, language, t, terms, when } from './words/words';

effect(() => {
  const a = address.value;
  if (a.id) openCase(a.id);
  else closeCase();
});
effect(() => {
  const c = open.value;
  document.title = c ? `${c.case.title || c.case.case} · Halfpear` : 'Halfpear';
});
fetched(calls.about, (a) => {
  about.value = a;
  terms.value = a.terms;
});

export function App() {
  useEffect(() => {
    const key = (e: KeyboardEvent) => {
      if (!(e.ctrlKey || e.metaKey) || e.altKey) return;
      const typing = e.target instanceof HTMLInputElement || e.target instanceof HTMLTextAreaElement;
      if (e.key.toLowerCase() === 'z' && !typing) {
        e.preventDefault();
        void (e.shiftKey ? redo() : undo());
      } else if (e.key.toLowerCase() === 'y' && !typing) {
        e.preventDefault();
        void redo();
      }
    };
    document.addEventListener('keydown', key);
    return () => document.removeEventListener('keydown', key);
  }, []);
  useEffect(keepFocus, []);
  return (
    <>
      <a class="skip" href="#desk">
        {t('app.skip')}
      </a>
      <Head />
      <Word />
      <Working />
      <main id="desk" tabIndex={-1}>
        {address.value.id ? <CaseRooms /> : <CaseList />}
      </main>
      <Foot />
      {!noticeSeen.value && <Notice />}
    </>
  );
}

function Head() {
  const s = open.value;
  return (
    <header class="head">
      <a
        class="mark"
        href="/"
        onClick={(e) => {
          e.preventDefault();
          go({ id: null, chosen: null });
        }}
      >
        <img src="/mark.svg" alt="" width="22" height="22" />
        Halfpear
      </a>
      {s && (
        <>
          <nav class="rooms" aria-label={t('app.rooms')}>
            {rooms.map((r) => (
              <a
                key={r}
                href={path({ id: address.value.id, room: r, chosen: null })}
                aria-current={address.value.room === r ? 'page' : undefined}
                onClick={(e) => {
                  e.preventDefault();
                  go({ room: r, chosen: null });
                }}
              >
                {t(`room.${r}`)}
              </a>
            ))}
          </nav>
          <Steps />
        </>
      )}
    </header>
  );
}

/** What a drawing's title block says: which case this is. */
function TitleBlock() {
  const s = open.value;
  if (!s) return null;
  return (
    <p class="which">
      <Title />
      <span class="number">{s.case.case}</span>
      <span class="arch">{t(s.case.arch === 'upper' ? 'arch.upper' : 'arch.lower')}</span>
      <span class="class" aria-live="polite">
        {s.class.text[language.value]}
      </span>
    </p>
  );
}

function Title() {
  const draft = useDraft(open.value?.case.title ?? '', (v) => {
    const title = v.trim();
    edit('title', (c) => {
      const { title: _, ...rest } = c;
      return title ? { ...rest, title } : rest;
    });
  });
  return <input class="title" aria-label={t('chart.title')} placeholder={t('list.untitled')} {...draft} />;
}

function Steps() {
  const s = open.value;
  const history = useSignal<readonly Step[] | null>(null);
  const shown = useSignal(false);
  const button = useRef<HTMLButtonElement>(null);
  const id = s?.case.case ?? '';
  useEffect(() => {
    shown.value = false; // another room, another case
  }, [address.value.room, address.value.id]);
  useEffect(() => {
    if (!shown.value) {
      history.value = null;
      return;
    }
    return fetched(
      () => calls.history(id),
      (h) => {
        history.value = h;
      },
    );
  }, [shown.value, id, s?.revision]);
  if (!s) return null;
  return (
    <div
      class="steps"
      onKeyDown={(e) => {
        if (e.key !== 'Escape' || !shown.value) return;
        shown.value = false;
        button.current?.focus();
      }}
    >
      <span class={`saving ${saving.value}`} role="status">
        {t(`app.${saving.value}`)}
      </span>
      <button
        type="button"
        aria-disabled={!s.undo}
        onClick={() => s.undo && void undo()}
        aria-keyshortcuts="Control+Z"
        title={s.undo ? t('app.undo.what', { what: label(s.undo) }) : ''}
      >
        {t('app.undo')}
      </button>
      <button
        type="button"
        aria-disabled={!s.redo}
        onClick={() => s.redo && void redo()}
        aria-keyshortcuts="Control+Shift+Z"
        title={s.redo ? t('app.redo.what', { what: label(s.redo) }) : ''}
      >
        {t('app.redo')}
      </button>
      <button ref={button} type="button" aria-expanded={shown.value} onClick={() => (shown.value = !shown.value)}>
        {t('app.history')}
      </button>
      {history.value && (
        <section class="history" aria-label={t('history.title')}>
          <ol>
            {history.value.toReversed().map((h) => (
              <li key={h.revision}>
                <span>{when(h.at)}</span> <span>{label(h.label)}</span>{' '}
                {h.revision === s.revision ? (
                  <em>{t('history.now')}</em>
                ) : (
                  <button
                    type="button"
                    onClick={() => {
                      shown.value = false;
                      button.current?.focus();
                      errand('restore', (base) => calls.restore(id, { base, to: h.revision })).catch(fault);
                    }}
                  >
                    {t('history.back')}
                  </button>
                )}
              </li>
            ))}
          </ol>
        </section>
      )}
    </div>
  );
}

/** The one place where the page speaks to the user of something that happened. */
function Word() {
  const n = notice.value;
  return (
    <div class="word" aria-live="assertive">
      {n && (
        <p class={n.kind}>
          <span>{n.text}</span>{' '}
          <button
            type="button"
            onClick={() => {
              notice.value = null;
              document.getElementById('desk')?.focus(); // the button that had the focus goes
            }}
          >
            {t('app.close')}
          </button>
        </p>
      )}
    </div>
  );
}

/** The one place that says what is being worked out, how far it has come, and where it is broken off. */
function Working() {
  const p = doing.value;
  const step = p?.step ? t(`step.${p.step}` as Key, { n: p.count ?? '' }) : t('step.some');
  return (
    <div class="working" role="status">
      {p && (
        <>
          <span>{step}</span> <progress aria-label={step} {...(p.share ? { value: p.share } : {})} />{' '}
          {stoppable.value && (
            <button type="button" onClick={breakOff}>
              {t('work.stop')}
            </button>
          )}
        </>
      )}
      {!p && halted.value && (
        <>
          <span>{t(halted.value === 'stopped' ? 'work.stopped' : 'work.failed')}</span>{' '}
          <button type="button" onClick={goOn}>
            {t(halted.value === 'stopped' ? 'work.on' : 'work.again')}
          </button>
        </>
      )}
    </div>
  );
}

function CaseRooms() {
  const ready = useComputed(() => open.value !== null);
  const heading = useRef<HTMLHeadingElement>(null);
  const room: Room = address.value.room;
  // Before the browser takes the next key: later, the focus would leave what the user has gone on to.
  useLayoutEffect(() => {
    heading.current?.focus();
    if (ready.value) notice.value = null; // what was said in another room
  }, [room, ready.value]);
  if (!ready.value) return <div class="room" aria-busy="true" />;
  return (
    <div class={`room ${room}`}>
      <h1 ref={heading} tabIndex={-1} class="roomname">
        {t(`room.${room}`)}
      </h1>
      <TitleBlock />
      {room === 'chart' && <ChartRoom />}
      {room === 'cast' && <CastRoom />}
      {room === 'design' && <DesignRoom />}
      {room === 'sheet' && <SheetRoom />}
      {room === 'order' && <OrderRoom />}
    </div>
  );
}

function Foot() {
  const themes: readonly Theme[] = ['auto', 'light', 'dark'];
  return (
    <footer class="foot">
      <label>
        {t('app.language')}{' '}
        <select
          value={language.value}
          onChange={(e) => {
            language.value = e.currentTarget.value === 'de' ? 'de' : 'en';
          }}
        >
          <option value="en" lang="en">
            English
          </option>
          <option value="de" lang="de">
            Deutsch
          </option>
        </select>
      </label>
      <label>
        {t('app.theme')}{' '}
        <select
          value={theme.value}
          onChange={(e) => {
            theme.value = themes.find((x) => x === e.currentTarget.value) ?? 'auto';
          }}
        >
          {themes.map((x) => (
            <option key={x} value={x}>
              {t(`app.theme.${x}`)}
            </option>
          ))}
        </select>
      </label>
      <button
        type="button"
        class="plain"
        onClick={() => {
          noticeSeen.value = false;
        }}
      >
        {t('app.notice')}
      </button>
      <span class="version">Halfpear {about.value?.version ?? ''}</span>
    </footer>
  );
}

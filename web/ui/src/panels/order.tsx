import { useSignal } from '@preact/signals';
import { useId } from 'preact/hooks';
import { ask } from '../api/calls';
import type { Gap, OrderField, OrderForm } from '../api/wire';
import { go } from '../record/address';
import { withSection } from '../record/edits';
import { edit, saved, theCase } from '../record/record';
import { refetch, useThing } from '../record/things';
import { useLong, useOnce, work } from '../record/work';
import { language, t, when } from '../words/words';
import { useDraft } from './fields';

/** The work order: what the laboratory is told, and what is missing before it can build. */
export function OrderRoom() {
  const c = theCase.value;
  const order = useThing('order');
  const o = order.value;
  const stale = useLong(order.busy);
  if (!c) return null;
  const id = c.case ?? '';
  const set = (name: string) => (v: string) =>
    edit(`order ${name}`, (x) => {
      const fields = { ...(x.order?.fields ?? {}) };
      if (v) fields[name] = v;
      else delete fields[name];
      return withSection(x, 'order', { fields: Object.keys(fields).length ? fields : undefined });
    });
  return (
    <div class="split">
      <div class="sheetarea orderform">
        {o && (
          <>
            <div class="ordertop">
              <p>
                {t('order.number')} <strong class="ordernumber">{o.number}</strong>
              </p>
              <Jurisdiction o={o} />
            </div>
            <h2>{t('order.entered')}</h2>
            <div class="fields">
              {o.fields
                .filter((f) => f.entered)
                .map((f) => (
                  <Entry
                    key={f.name}
                    f={f}
                    stored={c.order?.fields?.[f.name] ?? ''}
                    missing={o.gaps.some((g) => g.field === f.name)}
                    set={set(f.name)}
                  />
                ))}
            </div>
            <h2>{t('order.computed')}</h2>
            <dl class="computed">
              {o.fields
                .filter((f) => !f.entered && f.text)
                .map((f) => (
                  <div key={f.name} id={`field-${f.name}`} tabIndex={-1}>
                    <dt>{f.label}</dt>
                    <dd>{f.text}</dd>
                  </div>
                ))}
            </dl>
          </>
        )}
      </div>
      <aside class="margin">
        {o && <Papers o={o} id={id} busy={order.busy} />}
        {o && <Gaps o={o} stale={stale} />}
      </aside>
    </div>
  );
}

function Jurisdiction({ o }: { o: OrderForm }) {
  const id = useId();
  return (
    <p>
      <label for={id}>{t('order.jurisdiction')}</label>{' '}
      <select
        id={id}
        value={o.jurisdiction}
        onChange={(e) => {
          const v = e.currentTarget.value;
          edit('order jurisdiction', (x) => withSection(x, 'order', { jurisdiction: v === 'generic' ? undefined : v }));
        }}
      >
        {o.jurisdictions.map((j) => (
          <option key={j.name} value={j.name}>
            {j.label}
          </option>
        ))}
      </select>
    </p>
  );
}

function Entry({ f, stored, missing, set }: { f: OrderField; stored: string; missing: boolean; set: (v: string) => void }) {
  const id = `field-${f.name}`;
  const draft = useDraft(stored, (v) => set(v.trim()));
  const mark = missing ? t('order.missing') : f.need === 'optional' ? t('order.optional') : '';
  // What another part of the case says stands in for an empty field and is not asked twice.
  const stands = !stored && f.text ? f.text : '';
  const date = f.name.startsWith('date.') || f.name.endsWith('_date');
  // A code in words, and what an empty date stands for, since neither shows in its field.
  const said =
    f.choices.length > 0
      ? ''
      : stored
        ? f.code === stored && f.text !== stored
          ? f.text
          : ''
        : date && stands
          ? t('order.otherwise', { text: stands })
          : '';
  return (
    <div class={`entry${missing ? ' lacking' : ''}`}>
      <label for={id}>
        {f.label} {mark && <small class={missing ? 'must' : ''}>{mark}</small>}
      </label>
      {f.choices.length > 0 ? (
        <select id={id} value={stored} onChange={(e) => set(e.currentTarget.value)}>
          <option value="">{stands || t('order.choose')}</option>
          {f.choices.map((c) => (
            <option key={c.name} value={c.name}>
              {c.label}
            </option>
          ))}
        </select>
      ) : date ? (
        <input id={id} type="date" {...draft} />
      ) : f.lines ? (
        <textarea id={id} rows={2} placeholder={stands} {...draft} />
      ) : (
        <input id={id} autocomplete="off" placeholder={stands} {...draft} />
      )}
      {said && <small class="said">{said}</small>}
    </div>
  );
}

/** Everything that is missing, each one click from its place. */
function Gaps({ o, stale }: { o: OrderForm; stale: boolean }) {
  const to = (g: Gap) => {
    if (g.part) go({ room: 'design', chosen: g.part });
    else if (g.field) {
      const el = document.getElementById(`field-${g.field}`);
      if (el) {
        el.scrollIntoView({ block: 'center' });
        el.focus();
      }
    } else if (g.tooth) go({ room: 'chart', chosen: String(g.tooth) });
    else go({ room: 'design', chosen: null });
  };
  return (
    <section class={`card${stale ? ' stale' : ''}`} aria-live="polite">
      <h2>{stale ? t('app.anew') : o.gaps.length ? t('order.gaps', { n: o.gaps.length }) : t('order.complete')}</h2>
      {[...new Set(o.gaps.map((g) => g.rule))].map((rule) => (
        <div key={rule} class="gapgroup">
          <ul class="gaps">
            {o.gaps
              .filter((g) => g.rule === rule)
              .map((g) => (
                <li key={g.field + g.part + g.text}>
                  <button type="button" class="plain" onClick={() => to(g)}>
                    {g.text}
                  </button>
                </li>
              ))}
          </ul>
          <small>{rule}</small>
        </div>
      ))}
    </section>
  );
}

function Papers({ o, id, busy }: { o: OrderForm; id: string; busy: boolean }) {
  const by = useSignal('');
  const arch = useSignal('');
  const c = theCase.value;
  const name = useId();
  const read = useId();
  const once = useOnce();
  const sign = async () => {
    const { revision: base } = await saved();
    await work(null, () =>
      ask('POST', `/cases/${id}/order/sign`, { base, by: by.value.trim(), language: language.value, arch: arch.value }),
    );
    refetch('order');
  };
  return (
    <section class="card">
      <h2>{t('order.papers')}</h2>
      <Downloads id={id} complete={o.gaps.length === 0} />
      {o.gaps.length > 0 && (
        <>
          <h3>{t('order.sign')}</h3>
          <p class="hint">{t('order.sign.later', { n: o.gaps.length })}</p>
        </>
      )}
      {o.gaps.length === 0 && c && (
        <form
          class="sign"
          onSubmit={(e) => {
            e.preventDefault();
            if (!busy) once(sign);
          }}
        >
          <h3>{t('order.sign')}</h3>
          <p class="hint">{t('order.sign.hint')}</p>
          <div class="row">
            <label for={read}>{t('order.sign.arch')}</label>
            <select
              id={read}
              value={arch.value}
              onChange={(e) => {
                arch.value = e.currentTarget.value;
              }}
            >
              <option value="">{t('order.choose')}</option>
              <option value="upper">{t('arch.upper')}</option>
              <option value="lower">{t('arch.lower')}</option>
            </select>
          </div>
          <div class="row">
            <label for={name}>{t('order.sign.by')}</label>
            <input
              id={name}
              autocomplete="off"
              value={by.value}
              onInput={(e) => {
                by.value = e.currentTarget.value;
              }}
            />
          </div>
          <button type="submit" class="main" disabled={!by.value.trim() || !arch.value} aria-disabled={busy}>
            {t('order.sign.go')}
          </button>
        </form>
      )}
      {o.issued.length > 0 && (
        <>
          <h3>{t('order.issued')}</h3>
          <ul class="issued">
            {o.issued.map((i) => (
              <li key={i.number}>
                <a href={`/api/cases/${id}/issued/${i.number}`} download>
                  {i.name}
                </a>{' '}
                {when(i.at)} · {i.by}
                <small class="digest">SHA-256 {i.digest.slice(0, 16)}…</small>
              </li>
            ))}
          </ul>
        </>
      )}
    </section>
  );
}

/** Has a paper made, with the page saying how far it is, and then takes it down. */
async function whenReady(a: HTMLAnchorElement, path: string) {
  await work(new AbortController(), (stop, hear) => ask('GET', `${path}&ready=1`, undefined, stop, hear));
  a.dataset.ready = 'yes';
  a.click();
}

function Download({ id, file, label }: { id: string; file: string; label: string }) {
  const once = useOnce();
  return (
    <a
      href={`/api/cases/${id}/${file}`}
      download
      onClick={(e) => {
        const a = e.currentTarget;
        if (a.dataset.ready) {
          delete a.dataset.ready;
          return;
        }
        e.preventDefault();
        once(() => whenReady(a, `/cases/${id}/${file}`));
      }}
    >
      {label}
    </a>
  );
}

/** Everything that can be taken away as a file. */
export function Downloads({ id, complete }: { id: string; complete: boolean }) {
  const lang = `lang=${language.value}`;
  const files = [
    [`order.pdf?${lang}`, t(complete ? 'order.pdf' : 'order.pdf.draft')],
    [`sheet.pdf?${lang}`, t('order.sheet.pdf')],
    [`sheet.svg?${lang}&download=1`, t('order.sheet.svg')],
    ['cast.stl?', t('order.cast')],
    ['blockout.stl?', t('order.blockout')],
  ] as const;
  return (
    <ul class="downloads">
      {files.map(([file, label]) => (
        <li key={file}>
          <Download id={id} file={file} label={label} />
        </li>
      ))}
      <li>
        <a href={`/api/cases/${id}/case.json`} download>
          {t('order.json')}
        </a>
      </li>
    </ul>
  );
}

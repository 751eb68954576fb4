import type { ComponentChildren } from 'preact';
import { useId, useRef, useState } from 'preact/hooks';
import { objections } from '../record/record';
import { language, named, signed, t } from '../words/words';

/** The server's words against a field, at the field. */
export function Objection({ field }: { field: string }) {
  const o = objections.value.find((p) => p.field === field || p.field.startsWith(`${field}.`));
  return o ? (
    <p class="objection" role="alert">
      {t('chart.objection', { text: o.text })}
    </p>
  ) : null;
}

function Row({ id, label, field, children }: { id: string; label: string; field?: string | undefined; children: ComponentChildren }) {
  return (
    <div class="row">
      <label for={id}>{label}</label>
      {children}
      {field && <Objection field={field} />}
    </div>
  );
}

/** One of a few words, or not known. */
export function Pick(props: {
  label: string;
  value: string | undefined;
  words: readonly string[];
  set: (v: string | undefined) => void;
  group?: string;
  say?: (word: string) => string;
  must?: boolean;
  wide?: boolean;
  field?: string;
}) {
  const id = useId();
  return (
    <Row id={id} label={props.label} field={props.field}>
      <select
        id={id}
        class={props.wide ? 'wide' : ''}
        value={props.value ?? ''}
        onChange={(e) => props.set(e.currentTarget.value || undefined)}
      >
        {!props.must && <option value="">{t('app.unknown')}</option>}
        {props.words.map((w) => (
          <option key={w} value={w}>
            {props.say?.(w) ?? named(props.group ?? 'word', w)}
          </option>
        ))}
      </select>
    </Row>
  );
}

/** Yes, no or not known. */
export function YesNo(props: { label: string; value: boolean | null | undefined; set: (v: boolean | undefined) => void; field?: string }) {
  const id = useId();
  const value = props.value === undefined || props.value === null ? '' : props.value ? 'yes' : 'no';
  return (
    <Row id={id} label={props.label} field={props.field}>
      <select id={id} value={value} onChange={(e) => props.set({ yes: true, no: false }[e.currentTarget.value])}>
        <option value="">{t('app.unknown')}</option>
        <option value="yes">{t('app.yes')}</option>
        <option value="no">{t('app.no')}</option>
      </select>
    </Row>
  );
}

/** The number that was typed. */
const typed = (s: string) => Number(s.trim().replace(',', '.').replace('−', '-'));

/** A number, or not known; a comma counts as a point. It is taken over on leaving the field or with Enter. */
export function Num(props: {
  label: string;
  value: number | undefined;
  set: (v: number | undefined) => void;
  step?: number;
  field?: string;
}) {
  const id = useId();
  const [draft, setDraft] = useState<string | null>(null);
  const bad = draft !== null && draft.trim() !== '' && Number.isNaN(typed(draft));
  const commit = () => {
    if (draft === null || bad) return;
    const v = draft.trim() === '' ? undefined : typed(draft);
    setDraft(null);
    if (v !== props.value) props.set(v);
  };
  const nudge = (by: number) => {
    setDraft(null);
    props.set(Math.round(((props.value ?? 0) + by) * 1000) / 1000);
  };
  return (
    <Row id={id} label={props.label} field={props.field}>
      <input
        id={id}
        inputMode="decimal"
        autocomplete="off"
        value={
          draft ??
          (props.value === undefined
            ? ''
            : signed(props.value.toLocaleString(language.value, { useGrouping: false, maximumFractionDigits: 3 })))
        }
        aria-invalid={bad}
        onInput={(e) => setDraft(e.currentTarget.value)}
        onBlur={commit}
        onKeyDown={(e) => {
          if (e.key === 'Enter') commit();
          else if (e.key === 'Escape') setDraft(null);
          else if (props.step && (e.key === 'ArrowUp' || e.key === 'ArrowDown')) {
            e.preventDefault();
            nudge(e.key === 'ArrowUp' ? props.step : -props.step);
          }
        }}
      />
    </Row>
  );
}

/** A file to be read, chosen with a button that speaks the page's language. */
export function FileButton(props: { label: string; accept: string; disabled?: boolean; take: (f: File) => void }) {
  return (
    <label class="filebutton">
      <input
        type="file"
        accept={props.accept}
        disabled={props.disabled ?? false}
        onChange={(e) => {
          const f = e.currentTarget.files?.[0];
          e.currentTarget.value = '';
          if (f) props.take(f);
        }}
      />
      {props.label}
    </label>
  );
}

/** A line of text, taken over on leaving the field or with Enter. */
export function Line(props: {
  label: string;
  value: string | undefined;
  set: (v: string | undefined) => void;
  field?: string;
  wide?: boolean;
}) {
  const id = useId();
  const draft = useDraft(props.value ?? '', (v) => props.set(v.trim() || undefined));
  return (
    <Row id={id} label={props.label} field={props.field}>
      <input id={id} class={props.wide ? 'wide' : ''} autocomplete="off" {...draft} />
    </Row>
  );
}

/**
 * What is typed into a field until it is taken over, on leaving the field or with Enter: no
 * answer of the server that comes meanwhile changes it.
 */
export function useDraft(value: string, set: (v: string) => void) {
  const [draft, show] = useState<string | null>(null);
  const typed = useRef<string | null>(null);
  const put = (s: string | null) => {
    typed.current = s;
    show(s);
  };
  const commit = () => {
    const s = typed.current;
    put(null);
    if (s !== null && s !== value) set(s);
  };
  return {
    value: draft ?? value,
    onInput: (e: { currentTarget: { value: string } }) => put(e.currentTarget.value),
    onBlur: commit,
    onChange: commit,
  };
}

import { effect, signal } from '@preact/signals';
import { de } from './de';
import { en, type Key } from './en';

export type { Key };
export type Language = 'en' | 'de';

const kept = localStorage.getItem('language');
export const language = signal<Language>(kept === 'de' || kept === 'en' ? kept : navigator.language.startsWith('de') ? 'de' : 'en');

effect(() => {
  localStorage.setItem('language', language.value);
  document.documentElement.lang = language.value;
});

/** The words for a key in the reader's language; {name} stands for a value, {name|one|many} for a count of things. */
export function t(key: Key, values: { readonly [name: string]: string | number } = {}): string {
  const text = (language.value === 'de' ? de : en)[key];
  return text
    .replace(
      /\{(\w+)\|([^|}]*)\|([^}]*)\}/g,
      (_, name: string, one: string, many: string) => `${values[name]} ${values[name] === 1 ? one : many}`,
    )
    .replace(/\{(\w+)\}/g, (_, name: string) => String(values[name] ?? ''));
}

/** The words for a name that comes from the server, as of a form; the name itself where there are none. */
export function named(group: string, name: string): string {
  const key = `${group}.${name}`;
  return key in en ? t(key as Key) : (terms.value[language.value]?.[key] ?? name.replaceAll('-', ' ').replaceAll('_', ' '));
}

/** The trade's own words as the server has them, by language. */
export const terms = signal<{ readonly [language: string]: { readonly [key: string]: string } }>({});

/** A number as the reader writes it. */
export function num(v: number, digits = 2): string {
  return signed(v.toLocaleString(language.value, { minimumFractionDigits: digits, maximumFractionDigits: digits }));
}

/** A written number with a minus sign for its hyphen. */
export const signed = (s: string) => s.replace('-', '−');

export function when(iso: string): string {
  return new Date(iso).toLocaleString(language.value, { dateStyle: 'medium', timeStyle: 'short' });
}

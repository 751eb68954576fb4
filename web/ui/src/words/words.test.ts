import { describe, expect, it } from 'vitest';
import { de } from './de';
import { en } from './en';

const holes = (s: string) => [...s.matchAll(/\{(\w+)\}/g)].map((m) => m[1]).sort();

describe('the words', () => {
  it('have the same places for values in both languages', () => {
    for (const [key, text] of Object.entries(en)) expect([key, ...holes(de[key as keyof typeof en])]).toEqual([key, ...holes(text)]);
  });
  it('are none of them empty', () => {
    for (const text of [...Object.values(en), ...Object.values(de)]) expect(text.trim()).not.toBe('');
  });
});

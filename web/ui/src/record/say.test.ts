import { describe, expect, it } from 'vitest';
import type { CaseFile } from '../api/wire';
import { say } from './say';

const empty: CaseFile = { format: 'case/1', arch: 'lower' };
const done = (line: string, c: CaseFile = empty) => {
  const s = say(c.arch, line);
  if ('no' in s) throw new Error(`not understood: ${s.no} ${s.at}`);
  return s.change(c);
};

describe('a line typed into the chart', () => {
  it('marks one tooth', () => {
    expect(done('36 missing').teeth).toEqual({ 36: { state: 'missing' } });
  });
  it('marks several, with commas and blanks', () => {
    expect(Object.keys(done('36, 37  46 missing').teeth ?? {})).toEqual(['36', '37', '46']);
  });
  it('follows the arch in a range, across the midline too', () => {
    expect(Object.keys(done('42-32 missing').teeth ?? {}).sort()).toEqual(['31', '32', '41', '42']);
    expect(Object.keys(done('36 – 38 missing').teeth ?? {}).sort()).toEqual(['36', '37', '38']);
  });
  it('speaks German', () => {
    expect(done('36-38 fehlen').teeth?.[37]).toEqual({ state: 'missing' });
    expect(done('34 Lockerung 2').teeth?.[34]).toEqual({ mobility: 2 });
    expect(done('34 Kippung 7,5').teeth?.[34]).toEqual({ tilt_deg: 7.5 });
  });
  it('takes findings away from a tooth that goes', () => {
    const before: CaseFile = { ...empty, teeth: { 34: { mobility: 2, note: 'old crown', crown: 'metal' } } };
    expect(done('34 missing', before).teeth?.[34]).toEqual({ state: 'missing', note: 'old crown' });
  });
  it('keeps findings of a tooth that is to be extracted', () => {
    const before: CaseFile = { ...empty, teeth: { 34: { mobility: 2 } } };
    expect(done('34 extract', before).teeth?.[34]).toEqual({ state: 'extract', mobility: 2 });
  });
  it('leaves a sound tooth unlisted', () => {
    expect(done('36 present', done('36 missing')).teeth).toEqual({});
  });
  it('reads teeth as the case numbers them, and as they are marked', () => {
    const at = (line: string, numbering?: string) => {
      const s = say('lower', line, numbering);
      return 'no' in s ? s : s.teeth;
    };
    expect(at('19 missing', 'universal')).toEqual([36]);
    expect(at('19-17 missing', 'universal')).toEqual([36, 37, 38]);
    expect(at('36 missing', 'universal')).toEqual({ no: 'arch', at: '36' });
    expect(at('#19, #30 missing')).toEqual([36, 46]);
    expect(at('LL6-LL7 missing', 'zsigmondy')).toEqual([36, 37]);
    expect(at('ll6 lr6 fehlen')).toEqual([36, 46]);
    expect(at('36 missing', 'zsigmondy')).toEqual([36]);
    expect(at('3 missing')).toEqual({ no: 'arch', at: '3' });
  });
  it('says what it does not understand', () => {
    expect(say('lower', '16 missing')).toEqual({ no: 'arch', at: '16' });
    expect(say('lower', 'missing 36')).toEqual({ no: 'teeth', at: 'missing' });
    expect(say('lower', '36 purple')).toEqual({ no: 'words', at: 'purple' });
    expect(say('lower', '36 mobility 7')).toMatchObject({ no: 'words' });
    expect(say('lower', '')).toMatchObject({ no: 'teeth' });
  });
});

import { describe, expect, it } from 'vitest';
import type { CaseFile, Part } from '../api/wire';
import { withDepth, withoutPart, withPart, withSection, withTooth } from './edits';

const c: CaseFile = { format: 'case/1', arch: 'lower', patient: { gag: true }, design: { parts: [{ id: 'a', kind: 'rest', tooth: 34 }] } };

describe('edits', () => {
  it('leave the case they are given as it was', () => {
    const frozen = JSON.stringify(c);
    withTooth(c, 34, { mobility: 1 });
    withSection(c, 'patient', { gag: undefined });
    withPart(c, { id: 'b', kind: 'rest' });
    withoutPart(c, 'a');
    expect(JSON.stringify(c)).toBe(frozen);
  });
  it('drop what goes back to not known', () => {
    expect(withTooth(withTooth(c, 34, { mobility: 1 }), 34, { mobility: undefined }).teeth).toEqual({});
    expect('patient' in withSection(c, 'patient', { gag: undefined })).toBe(false);
    expect(withDepth({ 34: 9 }, 34, undefined)).toBeUndefined();
  });
  it('keep a zero, which is known', () => {
    expect(withTooth(c, 34, { mobility: 0 }).teeth?.[34]).toEqual({ mobility: 0 });
    expect(withDepth(undefined, 34, 0)).toEqual({ 34: 0 });
  });
  it('put a part in its old place', () => {
    const two = withPart(c, { id: 'b', kind: 'base', teeth: [36] });
    const changed: Part = { id: 'a', kind: 'rest', tooth: 34, form: 'ball' };
    expect(withPart(two, changed).design?.parts.map((p) => p.id)).toEqual(['a', 'b']);
    expect(withPart(two, changed).design?.parts[0]?.form).toBe('ball');
  });
});

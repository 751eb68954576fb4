import { describe, expect, it } from 'vitest';
import { direction } from '../record/tilt';
import { fromPlan, inches, onPlan, teethOf } from './units';

describe('the plan', () => {
  // The patient's right is +x in the lower cast frame and -x in the upper.
  it("puts the patient's right on the reader's left in both arches", () => {
    expect(onPlan('lower', [20, 0, 0])[0]).toBeLessThan(0);
    expect(onPlan('upper', [-20, 0, 0])[0]).toBeLessThan(0);
  });
  it('puts front teeth at the bottom of the lower plan and at the top of the upper', () => {
    expect(onPlan('lower', [0, 20, 0])[1]).toBeGreaterThan(0);
    expect(onPlan('upper', [0, 20, 0])[1]).toBeLessThan(0);
  });
  it('leads back', () => {
    for (const arch of ['upper', 'lower'] as const) expect(fromPlan(arch, onPlan(arch, [3, -7, 1]))).toEqual([3, -7]);
  });
});

describe('teeth', () => {
  it('run from the patient’s right third molar to the left', () => {
    expect(teethOf('lower')).toEqual([48, 47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37, 38]);
    expect(teethOf('upper')).toHaveLength(16);
    expect(teethOf('upper')[0]).toBe(18);
  });
});

describe('lengths', () => {
  // The gauges' usual names: 0.25 mm is the 0.010 inch gauge, 0.5 the 0.020, 0.75 the 0.030 (common practice).
  it('carry the gauges’ names', () => {
    expect([0.25, 0.5, 0.75].map(inches)).toEqual(['0.010 in', '0.020 in', '0.030 in']);
  });
});

describe('the path of insertion', () => {
  it('leans to the front and to the patient’s right by its two angles', () => {
    for (const arch of ['upper', 'lower'] as const) {
      const d = direction(arch, { anterior: 10, right: -5 });
      expect(Math.hypot(...d)).toBeCloseTo(1, 12);
      expect((Math.atan2(d[1], d[2]) * 180) / Math.PI).toBeCloseTo(10, 9);
      const right = arch === 'lower' ? 1 : -1;
      expect((Math.atan2(right * d[0], d[2]) * 180) / Math.PI).toBeCloseTo(-5, 9);
    }
  });
});

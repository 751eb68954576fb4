import { describe, expect, it } from 'vitest';
import { coarse } from './coarse';

/** A square sheet of n by n squares of side 1. */
function sheet(n: number) {
  const position = new Float32Array(3 * (n + 1) ** 2);
  for (let i = 0; i <= n; i++) for (let j = 0; j <= n; j++) position.set([i, j, 0], 3 * (i * (n + 1) + j));
  const index: number[] = [];
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) {
      const a = i * (n + 1) + j;
      index.push(a, a + n + 1, a + 1, a + 1, a + n + 1, a + n + 2);
    }
  return { position, index: new Uint32Array(index) };
}

const area = (p: Float32Array, index: Uint32Array) => {
  let sum = 0;
  for (let f = 0; f < index.length; f += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => 3 * (index[f + k] ?? 0)) as [number, number, number];
    const at = (i: number) => p[i] ?? 0;
    sum += Math.abs((at(b) - at(a)) * (at(c + 1) - at(a + 1)) - (at(c) - at(a)) * (at(b + 1) - at(a + 1))) / 2;
  }
  return sum;
};

describe('the moving view', () => {
  it('is drawn with about as many triangles as wanted, over nearly the same surface', () => {
    const s = sheet(300);
    const rough = coarse(s.position, s.index, 20_000);
    expect(rough).not.toBeNull();
    if (!rough) return;
    expect(rough.length / 3).toBeGreaterThan(8_000);
    expect(rough.length / 3).toBeLessThan(40_000);
    expect(area(s.position, rough)).toBeGreaterThan(0.97 * 300 * 300);
    expect(Math.max(...rough)).toBeLessThan(s.position.length / 3);
  });
  it('stays as it is where there is little to save', () => {
    const s = sheet(50);
    expect(coarse(s.position, s.index, 20_000)).toBeNull();
  });
});

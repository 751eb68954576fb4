/**
 * A coarser set of triangles over the same vertices, for the moment in which the view
 * moves: vertices in one cell of a grid are drawn as the first of them. The full set is
 * drawn again as soon as the view rests.
 */
export function coarse(position: Float32Array, index: Uint32Array, wanted: number): Uint32Array | null {
  const faces = index.length / 3;
  if (faces <= wanted * 1.5) return null;
  let [x0, y0, z0] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  let area = 0;
  for (let i = 0; i < position.length; i += 3) {
    x0 = Math.min(x0, position[i] as number);
    y0 = Math.min(y0, position[i + 1] as number);
    z0 = Math.min(z0, position[i + 2] as number);
  }
  for (let f = 0; f < index.length; f += 3 * 16) area += triangle(position, index, f) * 16;
  // A cell of side s is crossed by about two triangles for each s² of surface.
  const s = Math.sqrt((2 * area) / wanted);
  const cells = new Map<number, number>();
  const first = new Uint32Array(position.length / 3);
  for (let v = 0; v < first.length; v++) {
    const k =
      (Math.floor(((position[3 * v] as number) - x0) / s) * 4096 + Math.floor(((position[3 * v + 1] as number) - y0) / s)) * 4096 +
      Math.floor(((position[3 * v + 2] as number) - z0) / s);
    const there = cells.get(k);
    if (there === undefined) cells.set(k, v);
    first[v] = there ?? v;
  }
  const out = new Uint32Array(index.length);
  let n = 0;
  for (let f = 0; f < index.length; f += 3) {
    const a = first[index[f] as number] as number;
    const b = first[index[f + 1] as number] as number;
    const c = first[index[f + 2] as number] as number;
    if (a === b || b === c || c === a) continue;
    out[n++] = a;
    out[n++] = b;
    out[n++] = c;
  }
  return out.slice(0, n);
}

function triangle(p: Float32Array, index: Uint32Array, f: number): number {
  const at = (k: number) => 3 * (index[f + k] as number);
  const [a, b, c] = [at(0), at(1), at(2)];
  const u = [0, 1, 2].map((i) => (p[b + i] as number) - (p[a + i] as number)) as [number, number, number];
  const v = [0, 1, 2].map((i) => (p[c + i] as number) - (p[a + i] as number)) as [number, number, number];
  return Math.hypot(u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]) / 2;
}

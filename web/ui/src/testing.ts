// A bare stand-in for what modules read of the browser while they are loaded; what they do
// in a browser is tested in one.
const store = new Map<string, string>();
Object.assign(globalThis, {
  localStorage: { getItem: (k: string) => store.get(k) ?? null, setItem: (k: string, v: string) => store.set(k, v) },
  document: { addEventListener: () => {}, documentElement: { dataset: {} } },
  window: globalThis,
  addEventListener: () => {},
  matchMedia: () => ({ matches: false, addEventListener: () => {} }),
});
if (!('navigator' in globalThis)) Object.assign(globalThis, { navigator: { language: 'en' } });

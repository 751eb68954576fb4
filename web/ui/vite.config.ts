import { defineConfig } from 'vite';

// The content policy of the server forbids inline code and styles, so nothing is inlined.
export default defineConfig({
  build: { target: 'es2022', assetsInlineLimit: 0, modulePreload: { polyfill: false }, chunkSizeWarningLimit: 1200 },
});

import { defineConfig } from 'vitest/config';

// What the modules under test touch of a browser when they are loaded.
export default defineConfig({ test: { setupFiles: ['./src/testing.ts'] } });

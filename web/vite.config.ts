import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';

// The page alone is served by vite (npm run dev, npm run preview); what it asks goes on to the program at FETTLE_URL, which
// takes requests only from its own address.
const program = process.env['FETTLE_URL'] ?? 'http://127.0.0.1:8730';
const proxy = { '/api': { target: program, changeOrigin: true, headers: { origin: new URL(program).origin } } };

// The page is one static folder: index.html beside hashed scripts and styles, nothing inline, nothing from elsewhere.
export default defineConfig({
  plugins: [svelte()],
  base: './',
  server: { proxy },
  preview: { proxy },
  build: {
    target: 'es2022',
    modulePreload: { polyfill: false },
    assetsInlineLimit: 0,
    chunkSizeWarningLimit: 800,
    reportCompressedSize: true,
  },
  test: {
    projects: [
      { extends: true, test: { name: 'unit', include: ['src/**/*.test.ts'], environment: 'node' } },
      {
        extends: true,
        test: {
          name: 'e2e',
          include: ['e2e/**/*.e2e.ts'],
          environment: 'node',
          poolOptions: { forks: { singleFork: true } },
          testTimeout: 120_000,
          hookTimeout: 120_000,
        },
      },
    ],
  },
});

import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';
import { guidePages } from './guide-pages.ts';

// The development server hands everything below /api to a running `endshake serve`.
const server = process.env.ENDSHAKE_SERVER ?? 'http://127.0.0.1:7411';

export default defineConfig(({ mode }) => ({
  plugins: [guidePages(), svelte()],
  // Component tests run Svelte's browser half.
  resolve: mode === 'test' ? { conditions: ['browser'] } : {},
  build: {
    target: 'es2022',
    // No data: URLs, so that the server's content security policy can forbid them.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
  server: {
    // The guide lies beside this folder.
    fs: { allow: ['..'] },
    proxy: { '/api': { target: server, ws: true, changeOrigin: true } },
  },
  test: {
    environment: 'node',
    // One for each processor: by itself it leaves one free, which is half of a small machine.
    maxWorkers: '100%',
    setupFiles: ['./src/test-setup.ts'],
    include: ['src/**/*.test.ts'],
    restoreMocks: true,
  },
}));

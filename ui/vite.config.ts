import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';
import { neverHydrated } from './never-hydrated';

const address = 'http://127.0.0.1:7643';
const bench = { target: address, changeOrigin: true, headers: { origin: address } };

// The pages run under a strict content policy: nothing inline, nothing from elsewhere. So no file is folded into the
// page as data, and styles are one file that the page links.
export default defineConfig({
  plugins: [svelte(), neverHydrated()],
  build: {
    target: 'es2022',
    outDir: 'dist',
    assetsDir: 'assets',
    assetsInlineLimit: 0,
    cssCodeSplit: false,
    modulePreload: false,
    reportCompressedSize: true,
  },
  server: {
    // While working on the pages, questions go to a bench that runs beside them, under its own name: it answers nobody
    // who comes from elsewhere.
    proxy: { '/ask': bench, '/phone-door': bench, '/photo': bench, '/stretch': bench, '/blind': bench, '/bundle': bench, '/table': bench },
  },
  test: { include: ['src/**/*.test.ts'] },
});

import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';
import { neverHydrated } from './never-hydrated';
import { installable } from './page/installable';
import { preloaded } from './preloaded';

const address = 'http://127.0.0.1:7643';
const bench = { target: address, changeOrigin: true, headers: { origin: address } };

// The pages run under a strict content policy: nothing inline, nothing from elsewhere. So no file is folded into the
// page as data, and styles are one file that the page links.
//
// In the mode `page` they are a bench themselves: static files with relative addresses, the core in a worker.
export default defineConfig(({ mode }) => ({
  base: mode === 'page' ? './' : '/',
  plugins: [svelte(), neverHydrated(), ...(mode === 'page' ? [installable(), preloaded('page')] : [preloaded()])],
  build: {
    target: 'es2022',
    outDir: mode === 'page' ? (process.env.SOLDERLAST_PAGE_OUT ?? '../target/page') : 'dist',
    emptyOutDir: true,
    assetsDir: 'assets',
    assetsInlineLimit: 0,
    cssCodeSplit: false,
    modulePreload: false,
    reportCompressedSize: true,
  },
  worker: { format: 'es' as const },
  server: {
    // While working on the pages, questions go to a bench that runs beside them, under its own name: it answers nobody
    // who comes from elsewhere.
    proxy: { '/ask': bench, '/phone-door': bench, '/shared-log': bench, '/photo': bench, '/take': bench, '/sweep': bench, '/stretch': bench, '/blind': bench, '/bundle': bench, '/table': bench },
  },
  // A busy machine is no fault: one of them reads every source.
  test: { include: ['src/**/*.test.ts'], testTimeout: 60_000 },
}));

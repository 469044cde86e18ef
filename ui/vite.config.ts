import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';

// The pages run under a strict content policy: nothing inline, nothing from elsewhere. So no file is folded into the
// page as data, and styles are one file that the page links.
export default defineConfig({
  plugins: [svelte()],
  build: {
    target: 'es2022',
    outDir: 'dist',
    assetsDir: 'assets',
    assetsInlineLimit: 0,
    cssCodeSplit: false,
    modulePreload: { polyfill: false },
    reportCompressedSize: true,
  },
  server: {
    // While working on the pages, questions go to a bench that runs beside them.
    proxy: { '/ask': 'http://127.0.0.1:7643', '/phone-door': 'http://127.0.0.1:7643' },
  },
  test: { include: ['src/**/*.test.ts'] },
});

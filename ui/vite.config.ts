import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';

const address = 'http://127.0.0.1:7643';
const bench = { target: address, changeOrigin: true, headers: { origin: address } };

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
    rolldownOptions: {
      output: {
        codeSplitting: {
          // Few files: many small ones compress a quarter worse together. The frame is there at once, and what is
          // opened first brings the rest of its kind along.
          groups: [
            { name: 'frame', test: /node_modules[\\/](svelte|esm-env|clsx)|src[\\/]([^\\/]+$|parts[\\/])/, priority: 3 },
            { name: 'pictures', test: /src[\\/]pictures[\\/]/, priority: 2 },
            { name: 'records', test: /src[\\/]records[\\/]/, priority: 1 },
          ],
        },
      },
    },
  },
  server: {
    // While working on the pages, questions go to a bench that runs beside them, under its own name: it answers nobody
    // who comes from elsewhere.
    proxy: { '/ask': bench, '/phone-door': bench },
  },
  test: { include: ['src/**/*.test.ts'] },
});

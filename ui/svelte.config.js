import { vitePreprocess } from '@sveltejs/vite-plugin-svelte';

export default {
  preprocess: vitePreprocess(),
  compilerOptions: {
    runes: true,
    // Short names of scopes, so that a phone gets fewer bytes.
    cssHash: ({ hash, filename }) => `s${hash(filename).slice(0, 5)}`,
  },
};

import type { Plugin } from 'vite';

/**
 * Leaves out of the pages what Svelte needs to take over markup that a server drew. Ours is never drawn by one, so the
 * flag that Svelte keeps for this purpose is false for good, and the bundler drops whatever asks for it. The build stops
 * when Svelte's own file no longer reads as it did here.
 */
export function neverHydrated(): Plugin {
  const flag = 'export let hydrating = false;';
  const setter = 'hydrating = value;';
  return {
    name: 'never-hydrated',
    apply: 'build',
    enforce: 'pre',
    transform: {
      filter: { id: /svelte\/src\/internal\/client\/dom\/hydration\.js$/ },
      handler(code) {
        if (!code.includes(flag) || !code.includes(setter)) this.error('Svelte keeps its hydration flag elsewhere now');
        return { code: code.replace(flag, 'export const hydrating = false;').replace(setter, ''), map: null };
      },
    },
  };
}

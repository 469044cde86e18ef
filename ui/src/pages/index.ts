// Every page is a file of its own, fetched when it is first wanted; the rest follow when the phone has nothing else to
// do, so that a dropped connection does not shut a page out.

import type { Component } from 'svelte';
import type { Route } from '../routes.svelte';

type Load = () => Promise<{ default: Component }>;

const nowhere: Load = () => import('./Nowhere.svelte');

const PAGES: Partial<Record<Route['page'], Load>> = {
  bench: () => import('./Bench.svelte'),
  audition: () => import('./Audition.svelte'),
  drawer: () => import('./Drawer.svelte'),
  guitar: () => import('./Guitar.svelte'),
  guitars: () => import('./Guitars.svelte'),
  logbook: () => import('./Logbook.svelte'),
  past: () => import('./Past.svelte'),
  pickup: () => import('./Pickup.svelte'),
  rig: () => import('./Rig.svelte'),
  rigs: () => import('./Rigs.svelte'),
  safety: () => import('./Safety.svelte'),
  settings: () => import('./Settings.svelte'),
};

let rest = false;

export async function loadPage(name: Route['page']): Promise<Component> {
  const { default: page } = await (PAGES[name] ?? nowhere)();
  if (!rest) {
    rest = true;
    setTimeout(() => {
      for (const load of [...Object.values(PAGES), nowhere]) void load().catch(() => undefined);
    }, 2000);
  }
  return page;
}

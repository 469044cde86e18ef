// Every page by its name. What an ordinary audition never comes to follows by itself.

import type { Component } from 'svelte';
import type { Route } from '../routes.svelte';
import Audition from './Audition.svelte';
import Bench from './Bench.svelte';
import Drawer from './Drawer.svelte';
import Following from './Following.svelte';
import Guitar from './Guitar.svelte';
import Guitars from './Guitars.svelte';
import Logbook from './Logbook.svelte';
import Nowhere from './Nowhere.svelte';
import Pickup from './Pickup.svelte';
import Rig from './Rig.svelte';
import Rigs from './Rigs.svelte';

export const PAGES: Readonly<Record<Route['page'], Component>> = {
  bench: Bench,
  audition: Audition,
  drawer: Drawer,
  guitar: Guitar,
  guitars: Guitars,
  iron: Following,
  logbook: Logbook,
  nowhere: Nowhere,
  past: Following,
  pickup: Pickup,
  rig: Rig,
  rigs: Rigs,
  safety: Following,
  settings: Following,
};

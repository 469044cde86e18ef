// Every page by its name. They come with the first one or soon after, so that a dropped connection shuts no page out.

import type { Component } from 'svelte';
import type { Route } from '../routes.svelte';
import Audition from './Audition.svelte';
import Bench from './Bench.svelte';
import Carry from './Carry.svelte';
import Coils from './Coils.svelte';
import Comparing from './Comparing.svelte';
import Following from './Following.svelte';
import Hearing from './Hearing.svelte';
import Measuring from './Measuring.svelte';
import Nowhere from './Nowhere.svelte';
import Thing from './Thing.svelte';

export const PAGES: Readonly<Record<Route['page'], Component>> = {
  bench: Bench,
  blind: Hearing,
  audition: Audition,
  carry: Carry,
  coils: Coils,
  compare: Comparing,
  decide: Comparing,
  drawer: Thing,
  fit: Following,
  guitar: Thing,
  guitars: Thing,
  hear: Hearing,
  history: Following,
  iron: Following,
  leads: Measuring,
  logbook: Following,
  meter: Measuring,
  nowhere: Nowhere,
  past: Following,
  pickup: Thing,
  'plan-blind': Hearing,
  rig: Thing,
  rigs: Thing,
  safety: Following,
  settings: Following,
  sheets: Comparing,
};

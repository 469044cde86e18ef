// What pickups, guitars and rigs have in common for a page.

import type { GuitarForm, GuitarPage, PickupForm, PickupPage, RigForm, RigPage } from '../contract';

export interface Pages {
  pickup: PickupPage;
  guitar: GuitarPage;
  rig: RigPage;
}

export interface Forms {
  pickup: PickupForm;
  guitar: GuitarForm;
  rig: RigForm;
}

export type Kind = keyof Pages;

/** The list that each lies in. */
export const LISTS = {
  pickup: { page: 'drawer', name: 'Drawer' },
  guitar: { page: 'guitars', name: 'Guitars' },
  rig: { page: 'rigs', name: 'Rigs' },
} as const;

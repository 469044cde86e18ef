// Everything that comes as a file of its own, and when: nothing of it is needed on the way through an ordinary audition.
// Nothing else fetches a part of the pages.

import { arriving } from './arriving';

/** Asides, listed in aside.ts: they come when one is asked for, or when somebody rests on another page. */
export type Asides = typeof import('./aside');
export const aside = (): Promise<Asides> => import('./aside');

// These follow by themselves when the first page has come to rest, so that a dropped connection shuts nobody out.
export const things = arriving(() => import('./things'), 2500);
export const meter = arriving(() => import('./meter'), 3500);
export const compare = arriving(() => import('./compare'), 4500);

// These come when they are asked for.
export const carry = arriving(() => import('./carry'));
export const hearing = arriving(() => import('./hearing'));
export const measured = arriving(() => import('./measured'));
export const install = arriving(() => import('./install'));
export const bassEnd = () => import('./pages/audition/BassEnd.svelte');
export const gapsFurther = () => import('./pages/audition/GapsFurther.svelte');
export const placeHeard = () => import('./pages/audition/PlaceHeard.svelte');
export const stringHeight = () => import('./pages/audition/StringHeight.svelte');
export const stringsOver = () => import('./pages/audition/StringsOver.svelte');

/** What only the page has that is a bench itself. */
export const page = () => import('./page');

/** What this bench is called. */
export const benchName = () => import('./shared/BenchName.svelte');

/** What only the program on a computer has. */
export const shared = () => import('./shared');

// Which page is shown: the part of the address behind `#`. Every page change is a real one in the browser's history, so
// that Back works by gesture, key and button.

import type { Step } from './contract';

export const STEPS: readonly Step[] = [
  'choose',
  'which_way',
  'leads',
  'meter',
  'seat',
  'gaps',
  'sound_up',
  'listen',
  'take_down',
];

/** The step of an audition or an install to come back to. */
export interface Back {
  page: 'audition' | 'fit';
  id: string;
  step: string;
}

export type Route =
  | { page: 'bench' | 'drawer' | 'guitars' | 'rigs' | 'logbook' | 'settings' | 'safety' | 'meter' }
  | { page: 'carry'; id?: string }
  | { page: 'pickup' | 'guitar' | 'rig'; id: string; edit?: true }
  | { page: 'past' | 'iron' | 'decide' | 'blind' | 'coils'; id: string }
  | { page: 'leads'; id: string; back?: Back }
  | { page: 'compare' | 'sheets'; ids: readonly string[] }
  /** Takes; `of` are auditions that were side by side, to go back to. */
  | { page: 'hear' | 'plan-blind'; ids: readonly string[]; of?: readonly string[] }
  | { page: 'history'; of: 'pickup' | 'guitar'; id: string }
  | { page: 'audition'; id: string; step: Step | null }
  | { page: 'fit'; id: string; step: string | null }
  | { page: 'nowhere' };

const ID = /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;

/** The page that `#/…` names. */
export function routeOf(hash: string): Route {
  // The printed address, opened again in a browser that was let in before.
  if (hash.startsWith('#key=')) return { page: 'bench' };
  const [page = '', id, step, ...more] = hash.replace(/^#?\/?/, '').split('/');
  const nowhere: Route = { page: 'nowhere' };
  if (more.length > 0) return nowhere;
  switch (page) {
    case '':
      return { page: 'bench' };
    case 'bench':
    case 'drawer':
    case 'guitars':
    case 'rigs':
    case 'logbook':
    case 'settings':
    case 'safety':
    case 'meter':
      return id === undefined ? { page } : nowhere;
    case 'pickup':
    case 'guitar':
    case 'rig':
      if (id === undefined) return nowhere;
      if (step === 'edit' && ID.test(id)) return { page, id, edit: true };
      return step === undefined && (ID.test(id) || id === 'new') ? { page, id } : nowhere;
    case 'carry':
      if (id === undefined) return { page };
      return step === undefined && ID.test(id) ? { page, id } : nowhere;
    case 'sheets':
    case 'hear':
    case 'plan-blind':
    case 'compare': {
      const heard = page === 'hear' || page === 'plan-blind';
      const ids = listOf(heard && step !== undefined && id === '-' ? undefined : id);
      const of = step === undefined ? [] : listOf(step);
      if (ids === null || of === null || (step !== undefined && (!heard || of.length < 2))) return nowhere;
      if (page !== 'compare' && page !== 'hear' && ids.length < 2) return nowhere;
      return heard && of.length > 0 ? { page, ids, of } : { page, ids };
    }
    case 'blind':
    case 'coils':
    case 'decide':
    case 'past':
    case 'iron':
      return id !== undefined && step === undefined && ID.test(id) ? { page, id } : nowhere;
    case 'leads': {
      if (id === undefined || !ID.test(id)) return nowhere;
      if (step === undefined) return { page, id };
      const back = backOf(step);
      return back === null ? nowhere : { page, id, back };
    }
    case 'history':
      return (id === 'pickup' || id === 'guitar') && step !== undefined && ID.test(step)
        ? { page, of: id, id: step }
        : nowhere;
    case 'fit':
      // The name of an audition stands where a step stands while the install is new.
      if (id === 'new') return step !== undefined && ID.test(step) ? { page, id, step } : nowhere;
      return id !== undefined && ID.test(id) && /^[a-z_]*$/.test(step ?? '') ? { page, id, step: step ?? null } : nowhere;
    case 'audition': {
      if (id === undefined || !ID.test(id)) return nowhere;
      if (step === undefined) return { page, id, step: null };
      const known = STEPS.find((one) => one === step);
      return known === undefined ? nowhere : { page, id, step: known };
    }
    default:
      return nowhere;
  }
}

/** Up to four different names, as an address lists them. */
function listOf(text: string | undefined): string[] | null {
  const ids = text === undefined ? [] : text.split(',');
  return ids.length <= 4 && new Set(ids).size === ids.length && ids.every((one) => ID.test(one)) ? ids : null;
}

/** `fit.ID.phase`, as an address says where to come back to. */
function backOf(text: string): Back | null {
  const [page, id = '', step = '', ...more] = text.split('.');
  if ((page !== 'audition' && page !== 'fit') || !ID.test(id) || !/^[a-z_]+$/.test(step) || more.length > 0) return null;
  return page === 'audition' && !STEPS.some((one) => one === step) ? null : { page, id, step };
}

/** The address of a page, for a link. */
export function hrefOf(route: Exclude<Route, { page: 'nowhere' }>): string {
  if (route.page === 'audition' || route.page === 'fit') return `#/${route.page}/${route.id}${route.step === null ? '' : `/${route.step}`}`;
  if ('ids' in route) {
    const of = 'of' in route && route.of !== undefined ? `/${route.of.join(',')}` : '';
    const ids = route.ids.length === 0 ? (of === '' ? '' : '/-') : `/${route.ids.join(',')}`;
    return `#/${route.page}${ids}${of}`;
  }
  if (route.page === 'history') return `#/history/${route.of}/${route.id}`;
  if (route.page === 'leads' && route.back !== undefined) {
    const { page, id, step } = route.back;
    return `#/leads/${route.id}/${page}.${id}.${step}`;
  }
  if (!('id' in route)) return `#/${route.page}`;
  return `#/${route.page}/${route.id}${'edit' in route ? '/edit' : ''}`;
}

/** An audition or an install, at a step of it. */
export type Work = Extract<Route, { page: 'audition' | 'fit' }>;

/** The work that somebody left for a record, so that the record leads back to it: any page but a record's ends that. */
export function workLeft(before: Route, now: Route, left: Work | null): Work | null {
  if (now.page !== 'pickup' && now.page !== 'guitar' && now.page !== 'rig') return null;
  return before.page === 'audition' || before.page === 'fit' ? before : left;
}

/** Where that work is kept in this window, so that a page that is loaded anew still leads back to it. */
const LEFT = 'solderlast.left';

function keepLeft(left: Work | null): void {
  try {
    if (left === null) sessionStorage.removeItem(LEFT);
    else sessionStorage.setItem(LEFT, hrefOf(left));
  } catch {
    // Storage is switched off: it is known until the page is loaded anew.
  }
}

function leftBefore(): Work | null {
  try {
    const left = routeOf(sessionStorage.getItem(LEFT) ?? '');
    return left.page === 'audition' || left.page === 'fit' ? left : null;
  } catch {
    return null;
  }
}

class Here {
  route = $state<Route>({ page: 'bench' });
  /** What this record was opened from. */
  left = $state.raw<Work | null>(null);
  /** Counts page changes; 0 until the first one, so that opening the app moves no focus. */
  changes = $state(0);
  /** How far the page was scrolled when it was left, if it was gone back to. */
  scrolled = 0;

  #heights = new Map<number, number>();
  #number = 0;
  #highest = 0;

  /** Begins to follow the address. */
  follow(): void {
    history.scrollRestoration = 'manual';
    this.#number = this.#highest = numberIn(history.state) ?? 0;
    history.replaceState({ number: this.#number }, '');
    this.route = routeOf(location.hash);
    this.left = workLeft(this.route, this.route, leftBefore());
    addEventListener('scroll', () => this.#heights.set(this.#number, scrollY), { passive: true });
    addEventListener('hashchange', () => this.#changed());
  }

  /** Goes to a page. */
  go(route: Exclude<Route, { page: 'nowhere' }>): void {
    location.hash = hrefOf(route);
  }

  /** Goes to a page in place of this one, which Back then passes over. */
  replace(route: Exclude<Route, { page: 'nowhere' }>): void {
    history.replaceState({ number: this.#number }, '', hrefOf(route));
    this.#show();
  }

  #changed(): void {
    // Nothing of the printed address is kept.
    if (location.hash.startsWith('#key=')) history.replaceState(history.state, '', '#/bench');
    const number = numberIn(history.state);
    if (number === null) {
      this.#number = this.#highest += 1;
      history.replaceState({ number: this.#number }, '');
      this.scrolled = 0;
    } else {
      this.#number = number;
      this.scrolled = this.#heights.get(number) ?? 0;
    }
    this.#show();
  }

  #show(): void {
    const now = routeOf(location.hash);
    this.left = workLeft(this.route, now, this.left);
    keepLeft(this.left);
    this.route = now;
    this.changes += 1;
  }
}

function numberIn(state: unknown): number | null {
  const number = (state as { number?: unknown } | null)?.number;
  return typeof number === 'number' ? number : null;
}

export const here = new Here();

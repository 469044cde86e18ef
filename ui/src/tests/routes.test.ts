import { expect, test, vi } from 'vitest';
import { hrefOf, routeOf, workLeft, type Route } from '../routes.svelte';
import { freshStorage } from './device';

const ID = '01890a5d-ac96-774b-bcce-b302099a8057';
const OTHER = '01890a5d-ac96-774b-bcce-b302099a8058';

test.each<[string, Exclude<Route, { page: 'nowhere' }>]>([
  ['#/bench', { page: 'bench' }],
  ['#/drawer', { page: 'drawer' }],
  ['#/guitars', { page: 'guitars' }],
  ['#/rigs', { page: 'rigs' }],
  ['#/logbook', { page: 'logbook' }],
  ['#/settings', { page: 'settings' }],
  ['#/safety', { page: 'safety' }],
  ['#/carry', { page: 'carry' }],
  [`#/carry/${ID}`, { page: 'carry', id: ID }],
  [`#/pickup/${ID}`, { page: 'pickup', id: ID }],
  ['#/guitar/new', { page: 'guitar', id: 'new' }],
  [`#/rig/${ID}`, { page: 'rig', id: ID }],
  [`#/pickup/${ID}/edit`, { page: 'pickup', id: ID, edit: true }],
  [`#/past/${ID}`, { page: 'past', id: ID }],
  [`#/decide/${ID}`, { page: 'decide', id: ID }],
  ['#/compare', { page: 'compare', ids: [] }],
  [`#/compare/${ID}`, { page: 'compare', ids: [ID] }],
  [`#/compare/${ID},${OTHER}`, { page: 'compare', ids: [ID, OTHER] }],
  ['#/hear', { page: 'hear', ids: [] }],
  [`#/hear/${ID},${OTHER}`, { page: 'hear', ids: [ID, OTHER] }],
  [`#/plan-blind/${ID},${OTHER}`, { page: 'plan-blind', ids: [ID, OTHER] }],
  [`#/hear/-/${ID},${OTHER}`, { page: 'hear', ids: [], of: [ID, OTHER] }],
  [`#/hear/${ID},${OTHER}/${OTHER},${ID}`, { page: 'hear', ids: [ID, OTHER], of: [OTHER, ID] }],
  [`#/plan-blind/${ID},${OTHER}/${OTHER},${ID}`, { page: 'plan-blind', ids: [ID, OTHER], of: [OTHER, ID] }],
  [`#/blind/${ID}`, { page: 'blind', id: ID }],
  [`#/sheets/${ID},${OTHER}`, { page: 'sheets', ids: [ID, OTHER] }],
  [`#/history/pickup/${ID}`, { page: 'history', of: 'pickup', id: ID }],
  [`#/history/guitar/${ID}`, { page: 'history', of: 'guitar', id: ID }],
  [`#/audition/${ID}`, { page: 'audition', id: ID, step: null }],
  [`#/audition/${ID}/sound_up`, { page: 'audition', id: ID, step: 'sound_up' }],
  [`#/fit/${ID}`, { page: 'fit', id: ID, step: null }],
  [`#/fit/${ID}/way_round`, { page: 'fit', id: ID, step: 'way_round' }],
  [`#/leads/${ID}`, { page: 'leads', id: ID }],
  [`#/leads/${ID}/fit.${OTHER}.phase`, { page: 'leads', id: ID, back: { page: 'fit', id: OTHER, step: 'phase' } }],
  [`#/leads/${ID}/audition.${OTHER}.leads`, { page: 'leads', id: ID, back: { page: 'audition', id: OTHER, step: 'leads' } }],
  [`#/fit/new/${ID}`, { page: 'fit', id: 'new', step: ID }],
])('%s names a page and is its address', (address, route) => {
  expect(routeOf(address)).toEqual(route);
  expect(hrefOf(route)).toBe(address);
});

test('no address is the bench', () => {
  for (const address of ['', '#', '#/']) expect(routeOf(address)).toEqual({ page: 'bench' });
});

test.each([
  '#/attic',
  '#/bench/more',
  '#/pickup',
  '#/pickup/7',
  '#/past/new',
  '#/decide',
  `#/compare/${ID},${ID}`,
  `#/compare/${ID},7`,
  `#/compare/${ID}/more`,
  '#/sheets',
  '#/blind',
  `#/plan-blind/${ID}`,
  `#/plan-blind/-/${ID},${OTHER}`,
  '#/hear/-',
  `#/hear/-/${ID}`,
  `#/hear/${ID},${OTHER}/7`,
  `#/sheets/${ID},${OTHER}/${ID},${OTHER}`,
  `#/sheets/${ID}`,
  `#/history/${ID}`,
  `#/history/rig/${ID}`,
  '#/history/pickup',
  `#/pickup/${ID}/meter`,
  '#/pickup/new/edit',
  `#/past/${ID}/edit`,
  `#/audition/${ID}/solder`,
  `#/audition/${ID}/meter/more`,
  `#/leads/${ID}/phase`,
  `#/leads/${ID}/bench.${OTHER}.leads`,
  `#/leads/${ID}/audition.${OTHER}.solder`,
  `#/leads/${ID}/fit.7.phase`,
  '#/fit/new',
  '#/fit/7/plan',
  `#/fit/${ID}/Plan<b>`,
  '#/constructor',
  '#/pickup/<b>',
])('%s leads nowhere', (address) => {
  expect(routeOf(address)).toEqual({ page: 'nowhere' });
});

test('a record that was opened from an audition leads back to it, also when it is written anew', () => {
  const audition = { page: 'audition', id: ID, step: 'gaps' } as const;
  const record = { page: 'rig', id: OTHER, edit: true } as const;
  const left = workLeft(audition, record, null);
  expect(left).toBe(audition);
  expect(workLeft(record, { page: 'rig', id: OTHER }, left)).toBe(audition);
  expect(workLeft({ page: 'rig', id: OTHER }, { page: 'rigs' }, left)).toBeNull();
  expect(workLeft({ page: 'rigs' }, record, null)).toBeNull();
  expect(workLeft(record, audition, left)).toBeNull();
});

test('a record that is loaded anew still leads back to the work it was opened from', async () => {
  freshStorage('sessionStorage');
  let turned = (): void => undefined;
  const address = { hash: '' };
  vi.stubGlobal('location', address);
  vi.stubGlobal('history', { state: null, replaceState: () => undefined });
  vi.stubGlobal('addEventListener', (event: string, then: () => void) => {
    if (event === 'hashchange') turned = then;
  });
  /** The page as it is loaded at an address. */
  const loaded = async (at: string) => {
    vi.resetModules();
    address.hash = at;
    const { here } = await import('../routes.svelte');
    here.follow();
    return here;
  };
  const turn = (to: string): void => {
    address.hash = to;
    turned();
  };
  const audition = { page: 'audition', id: ID, step: 'gaps' } as const;

  await loaded(hrefOf(audition));
  turn(`#/rig/${OTHER}`);
  const anew = await loaded(`#/rig/${OTHER}`);
  expect(anew.left).toEqual(audition);
  turn('#/rigs');
  expect((await loaded(`#/rig/${OTHER}`)).left).toBeNull();
  vi.unstubAllGlobals();
});

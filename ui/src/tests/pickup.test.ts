import { expect, test } from 'vitest';
import type { Guitar, Pickup, PickupPage } from '../contract';
import { leadWords, newPickup, pickupFacts, polesAndStrings } from '../things/pickup/pickup';

test('a new pickup says nothing of its poles until somebody does', () => {
  const form = newPickup('millimetre');
  const saved = (poles: typeof form.poles): PickupPage =>
    ({ pickup: { ...form, coils: [], leads: [], joined_inside: [], poles, pole_count: null }, shown: form, measured: [] }) as unknown as PickupPage;
  const said = (poles: typeof form.poles) => pickupFacts(saved(poles)).find(({ name }) => name === 'Poles')?.words;
  expect(form.poles).toBe('hidden');
  expect(said(form.poles)).toBe('');
  expect(said('rods')).toBe('rods');
});

test('which pole is up is not written down until it is said of every magnet', () => {
  const form = newPickup('millimetre');
  const names = (construction: typeof form.construction, ...up: ('north' | 'south' | null)[]): string[] => {
    const coils = up.map((magnet_up, index) => ({ name: 'ABC'[index], magnet_up, stated: null }));
    const page = { pickup: { ...form, construction, coils, leads: [], joined_inside: [], pole_count: null }, shown: form, measured: [] };
    return pickupFacts(page as unknown as PickupPage).filter(({ words }) => words === '').map(({ name }) => name);
  };
  const missing = 'Which pole is up';
  expect(names('single_coil', null)).toContain(missing);
  expect(names('single_coil', 'south')).not.toContain(missing);
  expect(names('stacked', 'north', null)).toContain(missing);
  expect(names('tapped_coil', 'north', null)).not.toContain(missing);
});

test('the ends of a coil that is alone need no letter', () => {
  const rust = [{ coil: 'A', end: 'plus' }] as const;
  expect([leadWords(rust, 1), leadWords(rust, 2), leadWords([], 1)]).toEqual(['plus', 'coil A plus', 'not known']);
  expect(leadWords([...rust, { coil: 'B', end: 'minus' }], 2)).toBe('join of coil A plus and coil B minus');
});

test('another number of poles than of strings is said where both are known', () => {
  const said = (poles: Pickup['poles'], pole_count: number | null, strings: number, in_pairs?: boolean) =>
    polesAndStrings({ poles, pole_count } as Pickup, { strings: Array.from({ length: strings }), in_pairs } as unknown as Guitar);
  expect(said('rods', 6, 7)).toBe('The pickup has 6 poles, and the guitar 7 strings.');
  expect(said('hidden', 7, 6, false)).toBe('The pickup has 7 poles, and the guitar 6 strings.');
  expect(said('screws', 12, 12, true)).toBe('The pickup has 12 poles, and the guitar 6 pairs of strings.');
  for (const [poles, count, strings, pairs] of [['rods', 6, 6], ['rods', 6, 12, true], ['rods', null, 7], ['blade', 2, 6]] as const) expect(said(poles, count, strings, pairs)).toBe(null);
});

test('it is said where pickup and guitar are chosen, and where the pickup goes onto the rig', () => {
  const pages = import.meta.glob<string>('../pages/audition/*.svelte', { query: '?raw', import: 'default', eager: true });
  expect(Object.entries(pages).filter(([, text]) => text.includes('data-poles')).map(([file]) => file.split('/').at(-1))).toEqual(['Choose.svelte', 'WhichWay.svelte']);
});

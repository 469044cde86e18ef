// Every address of the bench that the pages fetch or link to is answered on every road: by a computer, in the window, in the page.

import { expect, test } from 'vitest';
import { type GivesOut, lying } from '../page/lying';

const PAGES = import.meta.glob<string>(['../**/*.ts', '../**/*.svelte', '!./**'], { query: '?raw', import: 'default', eager: true });
const DOORS = import.meta.glob<string>(
  ['../../../src-tauri/serve/src/bench_door/mod.rs', '../../../src-tauri/serve/src/phone_door/routes.rs'],
  { query: '?raw', import: 'default', eager: true },
);
const SOUNDS = import.meta.glob<string>('../../../src-tauri/serve/src/web/heard.rs', { query: '?raw', import: 'default', eager: true });
const BENCH = import.meta.glob<string>('../../../src-tauri/page/src/bench.rs', { query: '?raw', import: 'default', eager: true });

/** Addresses in a source, each word that is filled in written as `*`. */
function addresses(text: string): string[] {
  const quoted = [...text.matchAll(/(['"`])(\/[a-z][a-z-]*(?:\/(?:[^'"`\s])*)?(?:\?[^'"`\s]*)?)\1/g)];
  return quoted.map(([, , address]) => (address ?? '').replace(/\?.*$/, '').replace(/\$\{(?:[^{}]|\{[^{}]*\})*\}/g, '*'));
}

const all = [
  ...new Set(
    Object.entries(PAGES)
      .flatMap(([file, text]) => addresses(text).map((address) => ({ file, address })))
      // Beginnings of addresses that are looked at, and parts that a page's own address is put together of.
      .filter(({ file, address }) => !address.endsWith('/') && !file.endsWith('routes.svelte.ts') && address !== '/-')
      .map(({ address }) => address),
  ),
].sort();

/** Where something is asked, sent or chosen, and no file is fetched. */
const ELSEWHERE = ['/ask', '/phone-door', '/shared-log', '/photo/*/*/*', '/take/*/*/*'];
const FETCHED = all.filter((address) => !ELSEWHERE.includes(address));

/** A bench that gives out something of each kind. */
function giving(): GivesOut {
  const bytes = new Uint8Array([0x52, 0x49, 0x46, 0x46]);
  let left = 0;
  const out = (): string => {
    left = 1;
    return JSON.stringify({ out: 0, name: 'file', bytes: 4 });
  };
  return {
    photo: () => bytes,
    take_out: out,
    bundle_out: out,
    next_part: () => (left-- > 0 ? bytes : new Uint8Array()),
    table: () => bytes,
    stretch: () => bytes,
    sweep: () => bytes,
    blind_sound: () => bytes,
  };
}

test('the pages fetch from these addresses', () => {
  expect(all).toEqual([...ELSEWHERE, '/blind/*/*/*', '/bundle/*', '/photo/*', '/stretch/*/*/*', '/sweep', '/table/*', '/take/*'].sort());
});

test('the page that is a bench itself answers at each', () => {
  const silent = FETCHED.filter((address) => lying(giving(), address.replaceAll('*', '1')).status !== 200);
  expect(silent).toEqual([]);
  expect(lying(giving(), '/nowhere').status).toBe(404);
});

test('the bench in the page gives out all of them', () => {
  const [bench = ''] = Object.values(BENCH);
  expect(Object.keys(giving()).filter((one) => !bench.includes(`pub fn ${one}(`))).toEqual([]);
});

test('each door of a computer has a route for each', () => {
  expect(Object.keys(DOORS)).toHaveLength(2);
  // No phone opens the phone door, or chooses a shared log.
  const own = ['/phone-door', '/shared-log'];
  for (const [file, text] of Object.entries(DOORS)) {
    const routes = [...text.matchAll(/\.route\("([^"]+)"/g)].map(([, route]) => (route ?? '').replace(/\{[^}]*\}/g, '*'));
    const missing = all.filter((address) => !routes.includes(address) && !(file.includes('phone_door') && own.includes(address)));
    expect(missing, file).toEqual([]);
  }
});

test('each sound is one that the window gives as well', () => {
  const sounds = Object.values(PAGES).flatMap((text) => [...text.matchAll(/soundAt\([`']\/([a-z]+)/g)].map(([, word]) => word));
  expect(sounds.length).toBeGreaterThan(2);
  const [given = ''] = Object.values(SOUNDS);
  expect(sounds.filter((word) => !given.includes(`["", "${word}"`))).toEqual([]);
});

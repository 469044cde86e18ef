import { beforeEach, expect, test } from 'vitest';
import { chosen, readPreferences, USUAL } from '../preferences.svelte';
import { freshStorage } from './device';

const KEY = 'solderlast.preferences';

beforeEach(() => {
  chosen.now = { ...USUAL };
  chosen.notice = null;
});

test('nothing kept is the usual, without a word', () => {
  for (const nothing of [null, undefined, {}]) {
    expect(readPreferences(nothing)).toEqual({ preferences: USUAL, damaged: false });
  }
});

test.each([
  ['a list', []],
  ['a number', 7],
  ['an unknown unit', { unit: 'cubit' }],
  ['a unit of the wrong kind', { unit: 3 }],
  ['a page that is a script', { page: 'javascript:alert(1)' }],
  ['a page without end', { page: `#/${'a'.repeat(5000)}` }],
])('%s becomes the usual, and is said to be damaged', (_, kept) => {
  expect(readPreferences(kept)).toEqual({ preferences: USUAL, damaged: true });
});

test('a damaged part leaves the others', () => {
  const { preferences, damaged } = readPreferences({ unit: 'sixtyfourth', hand: 'left', theme: 12 });
  expect(preferences).toEqual({ ...USUAL, unit: 'sixtyfourth', hand: 'left' });
  expect(damaged).toBe(true);
});

test('what a later version keeps beside ours does no harm', () => {
  expect(readPreferences({ unit: 'decimal_inch', voice: 'low' })).toEqual({
    preferences: { ...USUAL, unit: 'decimal_inch' },
    damaged: false,
  });
});

test('a choice is there again the next time', async () => {
  const storage = freshStorage();
  await chosen.read();
  chosen.set({ unit: 'decimal_inch' });
  chosen.set({ theme: 'dark' });
  await expect.poll(() => JSON.parse(storage.getItem(KEY) ?? '{}').theme).toBe('dark');
  chosen.now = { ...USUAL };
  await chosen.read();
  expect(chosen.now).toEqual({ ...USUAL, unit: 'decimal_inch', theme: 'dark' });
  expect(chosen.notice).toBeNull();
});

test('every page can be come back to, also one of several things', () => {
  const id = '019a3c5f-7e00-7000-8000-000000000001';
  const several = [id, id, id, id].join(',');
  for (const page of ['#/bench', `#/fit/${id}/as_it_was`, `#/compare/${several}`, `#/sheets/${several}`]) {
    expect(readPreferences({ page })).toEqual({ preferences: { ...USUAL, page }, damaged: false });
  }
});

test('half a file is the usual again, with a notice', async () => {
  freshStorage().setItem(KEY, '{"unit":"decimal_i');
  await chosen.read();
  expect(chosen.now).toEqual(USUAL);
  expect(chosen.notice).toContain('could not be read');
});

test('storage that is full keeps nothing, and says so', async () => {
  const storage = freshStorage();
  storage.setItem = () => {
    throw new DOMException('full', 'QuotaExceededError');
  };
  await chosen.read();
  chosen.set({ hand: 'left' });
  await expect.poll(() => chosen.notice).toContain('could not keep');
  expect(chosen.now.hand).toBe('left');
});

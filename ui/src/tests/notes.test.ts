import { beforeEach, expect, test } from 'vitest';
import { draftOf } from '../drafts.svelte';
import { Notes } from '../pages/audition/notes.svelte';
import { freshStorage } from './device';

const MODES = [
  { mode: 'series', note: '' },
  { mode: 'single', note: '' },
];
let written: [string, string][];
let answer: (() => void)[];
const notes = (): Notes =>
  new Notes(
    'a',
    (mode, words) => {
      written.push([mode, words]);
      return new Promise((wrote) => answer.push(() => wrote(true)));
    },
    MODES,
  );

beforeEach(() => {
  freshStorage();
  written = [];
  answer = [];
});

test('words are written of the mode that they were typed in, however soon another is in hand', async () => {
  const all = notes();
  const box = all.of('series');
  box.text = 'thick, honest';
  const kept = all.keep({ mode: 'series', note: '' });
  // The other mode is in hand now; the keyboard hands its last word over late.
  box.text = 'thick, honest, dark';
  expect(await all.keep({ mode: 'single', note: '' })).toBe(true);
  answer.splice(0).forEach((one) => one());
  await kept;
  expect([all.of('single').text, draftOf('a/listen/single')]).toEqual(['', null]);
  expect(draftOf('a/listen/series')).toBe('thick, honest, dark');
  const rest = all.keep({ mode: 'series', note: 'thick, honest' });
  answer.splice(0).forEach((one) => one());
  await rest;
  expect(written).toEqual([
    ['series', 'thick, honest'],
    ['series', 'thick, honest, dark'],
  ]);
  expect(draftOf('a/listen/series')).toBeNull();
});

test('words that are on their way are written once', async () => {
  const all = notes();
  all.of('series').text = 'thick';
  const both = [all.keep({ mode: 'series', note: '' }), all.keep({ mode: 'series', note: '' })];
  answer.splice(0).forEach((one) => one());
  expect(await Promise.all(both)).toEqual([true, true]);
  expect(written).toEqual([['series', 'thick']]);
});

test('words typed in a mode and not written are there again', () => {
  notes().of('single').text = 'thin';
  expect([notes().of('series').text, notes().of('single').text]).toEqual(['', 'thin']);
});

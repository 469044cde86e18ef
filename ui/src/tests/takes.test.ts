import { expect, test } from 'vitest';
import { timeOf } from '../dates';
import { numbersOf } from '../hearing/numbers';

const PAGES = import.meta.glob<string>('../**/*.svelte', { query: '?raw', import: 'default', eager: true });

test('takes that say the same are numbered, the oldest first', () => {
  const take = (entry: string, words: string) => ({ entry, title: 'Wren single', words });
  const numbers = numbersOf([take('d', 'a riff'), take('c', 'chords'), take('b', 'a riff'), take('a', 'a riff')]);
  expect(Object.fromEntries(numbers)).toEqual({ a: 'take 1 of 3', b: 'take 2 of 3', d: 'take 3 of 3' });
});

test('times of a day are written in one way', () => {
  expect(timeOf('2026-11-30T13:54:00Z')).toMatch(/^\d\d:\d\d$/);
  const otherwise = Object.entries(PAGES).filter(([, text]) => /toLocale(?:Time|Date)?String/.test(text));
  expect(otherwise.map(([file]) => file)).toEqual([]);
});

test('keys are spoken of only where there is a keyboard', () => {
  const spoken = /\bkeys \d|space bar/i;
  const shown = Object.entries(PAGES).map(([file, text]) => [file, text.replace(/<span class="by-keys">.*?<\/span>/gs, '')] as const);
  expect(shown.filter(([, text]) => spoken.test(text)).map(([file]) => file)).toEqual([]);
});

test('a page that is the bench speaks of no other one', () => {
  const other = Object.entries(PAGES).filter(([, text]) => text.includes('beside the log on the bench'));
  expect(other.map(([file]) => file)).toEqual([]);
});

test('a recording that is not kept yet asks to be kept first', () => {
  const record = PAGES['../hearing/Record.svelte'] ?? '';
  expect(record).toMatch(/class:first=\{index === 0\}.*>Keep it</);
  expect(record).toMatch(/class:first=\{left\.length === 0\}.*>Record</);
});

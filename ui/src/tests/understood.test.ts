// What is wrong with a field is said once: beside it in red, and not a second time as what was understood.

import { render } from 'svelte/server';
import { expect, test } from 'vitest';
import type { Echo } from '../parts/echo.svelte';
import Understood from '../parts/Understood.svelte';

const echo = { unclear: 'A length here is up to 3000 mm.', shown: '', query: null, said: false, waits: false } as unknown as Echo;
const shown = (error: string | null): string => render(Understood, { props: { echo, error } }).body;

test('the same sentence stands once beside a field', () => {
  expect(shown(null)).toContain('up to 3000 mm');
  expect(shown('Write the scale length.')).toContain('up to 3000 mm');
  expect(shown('A length here is up to 3000 mm.')).not.toContain('up to 3000 mm');
});

const FILES = import.meta.glob<string>('../**/*.svelte', { query: '?raw', import: 'default', eager: true });

test('whoever shows what was understood hands on what is wrong', () => {
  const uses = Object.entries(FILES).flatMap(([file, text]) => [...text.matchAll(/<Understood [^>]*/g)].map(([use]) => `${file}: ${use}`));
  expect(uses.length).toBeGreaterThan(2);
  expect(uses.filter((use) => !use.includes('error'))).toEqual([]);
});

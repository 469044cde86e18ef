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

test('whatever is asked can be answered by a button', () => {
  const buttons = (instead: string | null, never: boolean): string[] => {
    const asked = { unclear: null, shown: '6.48 in', query: '6.48 in from nut to saddle?', said: false, waits: true, instead, never } as unknown as Echo;
    const { body } = render(Understood, { props: { echo: asked, error: null } });
    return [...body.matchAll(/<button[^>]*>([^<]*)/g)].map(([, words]) => words ?? '');
  };
  expect(buttons('648 mm', false)).toEqual(['648 mm', 'It is 6.48 in']);
  expect(buttons('648 mm', true)).toEqual(['648 mm']);
  expect(buttons(null, false)).toEqual(['It is 6.48 in']);
  expect(buttons(null, true)).toEqual(['Type it anew']);
});

const FILES = import.meta.glob<string>('../**/*.svelte', { query: '?raw', import: 'default', eager: true });

test('whoever shows what was understood hands on what is wrong', () => {
  const uses = Object.entries(FILES).flatMap(([file, text]) => [...text.matchAll(/<Understood [^>]*/g)].map(([use]) => `${file}: ${use}`));
  expect(uses.length).toBeGreaterThan(2);
  expect(uses.filter((use) => !use.includes('error'))).toEqual([]);
});

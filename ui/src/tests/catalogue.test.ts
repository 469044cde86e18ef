import { render } from 'svelte/server';
import { expect, test } from 'vitest';
import type { CautionPart } from '../contract';
import Part from '../safety/Part.svelte';

const part = {
  title: 'Hearing',
  cautions: ['loud', 'long'].map((id) => ({ id, word: 'warning', word_shown: 'Warning', hazard: `${id} sound`, harm: '', avoid: '', acknowledged: false })),
} as unknown as CautionPart;
const shown = (folded: boolean): string => render(Part, { props: { part, folded, onunfold: () => undefined, ontop: () => undefined } }).body;

test('a folded part of the catalogue says how much is in it, and stands whole on paper', () => {
  expect(shown(true)).toMatch(/class="halves[^"]*folded/);
  expect(shown(true)).toContain('Show its 2 cautions');
  expect(shown(true)).toContain('loud sound');
  expect(shown(false)).not.toMatch(/class="halves[^"]*folded/);
  expect(shown(false)).not.toContain('data-unfold');
});

// Wherever a gap is typed, a slip is asked about as it is typed: the field says that it is a gap.

import { expect, test } from 'vitest';

const PAGES = import.meta.glob<string>('../**/*.svelte', { query: '?raw', import: 'default', eager: true });

test('every field for a gap asks about a slip', () => {
  const fields = Object.entries(PAGES).flatMap(([page, source]) =>
    [...source.matchAll(/<(?:LengthField|NumberPad)\b[^]*?\/>/g)].map(([field]) => ({ page, field })),
  );
  const gaps = fields.filter(({ field }) => /label="[^"]*\b(?:gap|aim)\b/i.test(field));
  expect(gaps.length).toBeGreaterThan(3);
  const unasked = gaps.filter(({ field }) => !/quantity="gap"/.test(field));
  expect(unasked.map(({ page, field }) => `${page}: ${field}`)).toEqual([]);
});

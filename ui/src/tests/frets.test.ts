import { expect, test } from 'vitest';
import { fretsUpTo } from '../pages/audition/frets';

test('frets are offered up to the last one that the guitar has', () => {
  const last = (of: number | null | undefined, chosen = 0): string | undefined => fretsUpTo(of, chosen).at(-1)?.label;
  expect(fretsUpTo(22, 0)[0]).toEqual({ value: '0', label: 'open' });
  expect([last(22), last(21), last(null), last(undefined)]).toEqual(['fret 22', 'fret 21', 'fret 24', 'fret 24']);
  // Nothing vanishes from under a choice.
  expect(last(22, 24)).toBe('fret 24');
});

import { expect, test } from 'vitest';
import { faceTold } from '../logbook/face';

test('a face is told as far as it is known', () => {
  expect(faceTold({ surface: 'carved', aged: true })).toBe('carved face, old, cracked or flaking');
  expect(faceTold({ surface: 'unknown', aged: false })).toBe('');
});

import { expect, test } from 'vitest';
import { furtherPlace } from '../things/guitar/guitar';

test.each([
  [[], 'bridge', 0],
  [['bridge'], 'neck', 1],
  [['neck'], 'bridge', 1],
  [['bridge', 'neck'], 'middle', 1],
  [['neck', 'bridge'], 'middle', 1],
  [['bridge', 'middle'], 'neck', 2],
  [['bridge', 'middle', 'neck'], '', 3],
])('beside %j comes %s', (names, name, at) => {
  expect(furtherPlace(names)).toEqual({ name, at });
});

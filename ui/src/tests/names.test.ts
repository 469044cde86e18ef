import { expect, test } from 'vitest';
import { newName } from '../names';

const FORM = /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;

test('a name is a version-7 UUID that holds its time', () => {
  const now = Date.UTC(2030, 0, 2, 3, 4, 5, 678);
  const name = newName(now);
  expect(name).toMatch(FORM);
  expect(parseInt(name.slice(0, 8) + name.slice(9, 13), 16)).toBe(now);
});

test('names made one after the other sort in that order, also when the clock is set back', () => {
  const later = Date.UTC(2040, 0, 1);
  const names = Array.from({ length: 9000 }, (_, index) => newName(index < 8000 ? later : later - 60_000));
  expect([...names].sort()).toEqual(names);
  expect(new Set(names).size).toBe(names.length);
  for (const name of names) expect(name).toMatch(FORM);
});

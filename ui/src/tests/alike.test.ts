import { expect, test } from 'vitest';
import { alike } from '../alike';

const before = { title: 'Sound', marks: [{ mark: 'line', from: [0, 1] }, { mark: 'text', text: '5 kHz' }], none: null };
const copy = () => structuredClone(before);

test('what is equal is taken from before, whole where all of it is', () => {
  expect(alike(before, copy())).toBe(before);
  expect(alike(before.marks, copy().marks)).toBe(before.marks);
});

test('one mark that is another one leaves the others theirs', () => {
  const now = copy();
  now.marks[1] = { mark: 'text', text: '6 kHz' };
  const told = alike(before, now);
  expect(told).not.toBe(before);
  expect(told.marks).not.toBe(before.marks);
  expect(told.marks[0]).toBe(before.marks[0]);
  expect(told).toEqual({ ...before, marks: [before.marks[0], { mark: 'text', text: '6 kHz' }] });
});

test.each([
  [[1, 2, 3], [1, 2]],
  [[1, 2], [1, 2, 3]],
  [{ a: 1, b: 2 }, { a: 1 }],
  [{ a: 1 }, { a: 1, b: undefined }],
  [{ a: undefined }, { b: undefined }],
  [{ 0: 'one' }, ['one']],
  [['one'], { 0: 'one' }],
  [{ a: null }, { a: {} }],
  [{ a: {} }, { a: null }],
  [{ a: [] }, { a: {} }],
  [null, { a: 1 }],
  [{ a: { b: 1 } }, { a: 'b' }],
  ['text', 'other'],
])('what is now is told, not what was: %j, then %j', (was, now) => {
  const told = alike(was, structuredClone(now));
  expect(told).toStrictEqual(now);
  expect(was).not.toBe(told);
});

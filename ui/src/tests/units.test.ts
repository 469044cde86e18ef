import { expect, test } from 'vitest';
import { bareUnit, eachInUnit, scaleHint } from '../parts/units';

test('sentences are told in the unit that is set, where they tell a length', () => {
  const words = ['Leave it.', 'It is 2.38 mm.'];
  const beside = [null, { decimal_inch: 'It is 0.094 in.', sixtyfourth: 'It is 3/32 in.' }];
  expect(eachInUnit(words, beside, 'millimetre')).toEqual(words);
  expect(eachInUnit(words, beside, 'decimal_inch')).toEqual(['Leave it.', 'It is 0.094 in.']);
  expect(eachInUnit(words, beside, 'sixtyfourth')).toEqual(['Leave it.', 'It is 3/32 in.']);
  expect(eachInUnit(words, undefined, 'sixtyfourth')).toEqual(words);
});

test('a field says how a bare number in it is read', () => {
  for (const quantity of ['gap', 'height', 'pitch', 'travel', 'length'] as const) {
    expect(bareUnit(quantity, 'sixtyfourth', '')).toBe('/64 in');
    expect(bareUnit(quantity, 'sixtyfourth', '5')).toBe('/64 in');
    for (const typed of ['0.08', '0,08', '5/64', '5 / 64']) expect(bareUnit(quantity, 'sixtyfourth', typed)).toBe('in');
    expect(bareUnit(quantity, 'decimal_inch', '5')).toBe('in');
    expect(bareUnit(quantity, 'millimetre', '5')).toBe('mm');
    expect(bareUnit(quantity, 'millimetre', '3/32')).toBe('in');
  }
  for (const quantity of ['scale', 'place', 'size', 'spread'] as const) {
    for (const typed of ['', '3', '2.75', '2,75', '1 3/8']) expect(bareUnit(quantity, 'sixtyfourth', typed)).toBe('in');
    expect(bareUnit(quantity, 'millimetre', '')).toBe('mm');
  }
  expect(bareUnit('scale', 'sixtyfourth', '25')).toBe('in');
  expect(bareUnit('scale', 'sixtyfourth', '648')).toBe('');
  // 48 is 48/64 of a pickup's width; 12 is hardly one. The echo says which.
  expect(bareUnit('size', 'sixtyfourth', '48')).toBe('');
});

test('a scale is shown as it is written in the unit that is set', () => {
  expect(scaleHint('millimetre')).toContain('648 mm or 25.5 in');
  expect(scaleHint('decimal_inch')).toContain('inches like 25.5');
  expect(scaleHint('sixtyfourth')).toContain('25 1/2');
});

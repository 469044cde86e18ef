import { expect, test } from 'vitest';
import { eachInUnit } from '../parts/units';

test('sentences are told in the unit that is set, where they tell a length', () => {
  const words = ['Leave it.', 'It is 2.38 mm.'];
  const beside = [null, { decimal_inch: 'It is 0.094 in.', sixtyfourth: 'It is 3/32 in.' }];
  expect(eachInUnit(words, beside, 'millimetre')).toEqual(words);
  expect(eachInUnit(words, beside, 'decimal_inch')).toEqual(['Leave it.', 'It is 0.094 in.']);
  expect(eachInUnit(words, beside, 'sixtyfourth')).toEqual(['Leave it.', 'It is 3/32 in.']);
  expect(eachInUnit(words, undefined, 'sixtyfourth')).toEqual(words);
});

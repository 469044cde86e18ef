import { expect, test } from 'vitest';
import { COMMON_SETS, gaugesFor, stringsOf, TUNINGS } from '../things/guitar/guitar';

test('gauges are offered for each number of strings, thickest at the bass side', () => {
  for (const count of Object.keys(TUNINGS).map(Number)) {
    const set = gaugesFor(stringsOf(count));
    expect(set, `${count} strings`).toHaveLength(count);
    const gauges = (set ?? []).map(Number);
    if (count === 12) {
      // In pairs: the second of each is the ordinary string, and those get thinner.
      const ordinary = gauges.filter((_, index) => index % 2 === 1);
      expect(ordinary).toEqual(ordinary.toSorted((one, other) => other - one));
      continue;
    }
    expect(gauges, `${count} strings`).toEqual(gauges.toSorted((one, other) => other - one));
  }
  expect(Object.keys(COMMON_SETS).toSorted()).toEqual(Object.keys(TUNINGS).toSorted());
});

test('what is typed stays, and once all are typed nothing is offered', () => {
  const strings = stringsOf(7);
  const [thickest] = strings;
  if (thickest !== undefined) thickest.gauge = '62';
  expect(gaugesFor(strings)).not.toBeNull();
  expect(gaugesFor(strings.map((one) => ({ ...one, gauge: '10' })))).toBeNull();
  // No set is common for nine.
  expect(gaugesFor([...strings, ...strings].slice(0, 9))).toBeNull();
});

// A rating beside the fitted pickup was heard, and is shown for what it is.

import { expect, test } from 'vitest';
import type { HeardMode } from '../contract';
import { besideFitted, wasHeard } from '../logbook/heard';

type Rated = HeardMode['rated'][number];
const rated = (name: string, compared: [string, string], more: Partial<Rated>): Rated => ({
  quality: 'treble',
  name,
  anchors: ['', '', '', '', ''],
  value: null,
  led: false,
  against: null,
  compared,
  how: null,
  ...more,
});

test('what was rated beside the fitted pickup alone was heard', () => {
  const none = [rated('Treble', ['duller', 'brighter'], {}), rated('Bass', ['thinner', 'fuller'], {})];
  expect(wasHeard({ note: '', rated: none })).toBe(false);
  expect(besideFitted({ rated: none })).toBe('');
  const some = [rated('Treble', ['duller', 'brighter'], { against: 'more' }), rated('Bass', ['thinner', 'fuller'], { against: 'same' })];
  expect(wasHeard({ note: '', rated: some })).toBe(true);
  expect(besideFitted({ rated: some })).toBe('brighter; the same in bass');
  expect(besideFitted({ rated: [rated('Hum', ['less hum', 'more hum'], { against: 'less' })] })).toBe('less hum');
  expect(wasHeard({ note: 'clear', rated: none }) && wasHeard({ note: '', rated: [rated('Hum', ['', ''], { value: 2 })] })).toBe(true);
});

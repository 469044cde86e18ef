import { expect, test } from 'vitest';
import { standing } from '../compare/standing';
import type { CandidateView, GroupView } from '../contract';

const group = (...of: [label: string, mode: string][]): GroupView => ({
  title: '',
  candidates: of.map(([label, mode]) => ({ label, mode, chance: 0.5 }) as CandidateView),
});

test.each([
  [[], ''],
  [[group(['Lantern stack', 'single']), group(['Brambleknot', 'single'])], '1st Lantern stack, 2nd Brambleknot'],
  [
    [group(['Lantern stack', 'single'], ['Brambleknot', 'single']), group(['Tin whistle', 'series'])],
    '1st Lantern stack and Brambleknot, 3rd Tin whistle',
  ],
  [
    [group(['Lantern stack', 'series']), group(['Brambleknot', 'series']), group(['Lantern stack', 'single'])],
    '1st Lantern stack in series, 2nd Brambleknot, 3rd Lantern stack in single',
  ],
  [[group(['A', 's'], ['B', 's'], ['C', 's'], ['D', 's'], ['E', 's']), group(['F', 's'])], '1st A, B, C, D and 1 more, 1 more behind'],
  [[group(['A', 's'], ['B', 's'], ['C', 's']), group(['D', 's'], ['E', 's'], ['F', 's'])], '1st A, B and C, 4th D and 2 more'],
])('%# reads %s', (groups, line) => {
  expect(standing(groups as GroupView[])).toBe(line);
});

test('nobody stands anywhere while nothing is wished', () => {
  const unwished = group(['Lantern stack', 'single'], ['Brambleknot', 'single']);
  for (const one of unwished.candidates) one.chance = null;
  expect(standing([unwished])).toBe('');
});

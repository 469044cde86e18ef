// How candidates stand, in one line.

import type { CandidateView, GroupView } from '../contract';
import { listed } from '../pictures/words';

/** How many are named. */
const NAMED = 4;

/** The place of as many as are named. */
const PLACES = ['1st', '2nd', '3rd', '4th'];

/** `1st Lantern stack, 2nd Brambleknot and Tin whistle`: who can't be told apart shares a place. Empty while nothing is wished. */
export function standing(groups: readonly GroupView[]): string {
  const all = groups.flatMap(({ candidates }) => candidates);
  if (all.every(({ chance }) => chance === null)) return '';
  const name = ({ label, mode }: CandidateView): string =>
    all.filter((other) => other.label === label).length > 1 ? `${label} in ${mode}` : label;
  const places: string[] = [];
  let before = 0;
  for (const { candidates } of groups) {
    const names = candidates.slice(0, Math.max(0, NAMED - before)).map(name);
    const left = candidates.length - names.length;
    if (names.length > 0) places.push(`${PLACES[before]} ${listed(left === 0 ? names : [...names, `${left} more`])}`);
    before += candidates.length;
    if (before >= NAMED) break;
  }
  if (before < all.length) places.push(`${all.length - before} more behind`);
  return places.join(', ');
}

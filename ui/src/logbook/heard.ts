// What was heard in a mode, for the pages that look back on it.

import type { HeardMode } from '../contract';

/** Words, a step on a scale, or a quality beside what was fitted: any of them was heard. */
export function wasHeard({ note, rated }: Pick<HeardMode, 'note' | 'rated'>): boolean {
  return note !== '' || rated.some(({ value, against }) => value !== null || against !== null);
}

/** `brighter; the same in bass`: what was said beside the pickup that was fitted; empty where nothing was. */
export function besideFitted({ rated }: Pick<HeardMode, 'rated'>): string {
  const words = rated.map(({ name, against, compared }) => {
    if (against === null) return '';
    return against === 'same' ? `the same in ${name.toLowerCase()}` : compared[against === 'less' ? 0 : 1];
  });
  return words.filter((word) => word !== '').join('; ');
}

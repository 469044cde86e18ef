// The face of a guitar in an audition that is looked back on.

import type { FinishAnswer } from '../contract';
import { SURFACES } from '../things/guitar/guitar';

/** What the face is like, and whether its finish is old; empty where neither is known. */
export function faceTold({ surface, aged }: Pick<FinishAnswer, 'surface' | 'aged'>): string {
  const label = surface === 'unknown' ? undefined : SURFACES.find(({ value }) => value === surface)?.label;
  return [label === undefined ? '' : `${label.toLowerCase()} face`, aged ? 'old, cracked or flaking' : ''].filter((part) => part !== '').join(', ');
}

// Which quantities are lengths: a bare number of one is in the person's unit.

import type { Quantity } from '../contract';

const LENGTHS: ReadonlySet<Quantity> = new Set<Quantity>(['length', 'gap', 'height', 'scale', 'place', 'size', 'spread', 'pitch', 'travel']);

export const isLength = (quantity: Quantity): boolean => LENGTHS.has(quantity);

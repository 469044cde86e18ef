// Which quantities are lengths: a bare number of one is in the person's unit, and so is what was written down.

import type { InInches, LengthUnit, Quantity } from '../contract';

const LENGTHS: ReadonlySet<Quantity> = new Set<Quantity>(['length', 'gap', 'height', 'scale', 'place', 'size', 'spread', 'pitch', 'travel']);

export const isLength = (quantity: Quantity): boolean => LENGTHS.has(quantity);

/** A sentence of the core in the person's unit; one that tells no length has no other form. */
export const inUnit = (words: string, in_inches: InInches | undefined, unit: LengthUnit): string =>
  unit === 'millimetre' ? words : (in_inches?.[unit] ?? words);

/** Sentences of the core in the person's unit, with what stands beside them. */
export const eachInUnit = (words: readonly string[], in_inches: readonly (InInches | null)[] | undefined, unit: LengthUnit): string[] =>
  words.map((one, index) => inUnit(one, in_inches?.[index] ?? undefined, unit));

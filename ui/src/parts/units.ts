// Which quantities are lengths: a bare number of one is in the person's unit, and so is what was written down.

import type { InInches, LengthUnit, Quantity } from '../contract';

const LENGTHS: ReadonlySet<Quantity> = new Set<Quantity>(['length', 'gap', 'height', 'scale', 'place', 'size', 'spread', 'pitch', 'travel']);

export const isLength = (quantity: Quantity): boolean => LENGTHS.has(quantity);

/** Kinds of which a bare whole number is rather inches than 64ths, where lengths go by 64ths. */
const IN_INCHES: ReadonlySet<Quantity> = new Set<Quantity>(['scale', 'place', 'size', 'spread']);

/**
 * The unit that a length is taken in as it is typed so far. Where lengths go by 64ths, a bare whole number of what is short is so many
 * of them; with a point, a comma or a stroke it is inches. Empty where it may be either: the bench says what it makes of it.
 */
export function bareUnit(quantity: Quantity, unit: LengthUnit, typed: string): string {
  if (unit === 'millimetre') return typed.includes('/') ? 'in' : 'mm';
  if (unit === 'decimal_inch' || /[.,/]/.test(typed)) return 'in';
  if (!IN_INCHES.has(quantity)) return '/64 in';
  const digits = quantity === 'scale' ? 3 : 2;
  return /^\s*\d+\s*$/.test(typed) && typed.trim().length >= digits ? '' : 'in';
}

/** How a scale is written in the unit that is set. */
export const scaleHint = (unit: LengthUnit): string =>
  unit === 'millimetre'
    ? 'Nut to saddle, like 648 mm or 25.5 in.'
    : unit === 'decimal_inch'
      ? 'Nut to saddle, in inches like 25.5, or 648 mm.'
      : 'Nut to saddle, in inches like 25.5 or 25 1/2, or 648 mm.';

/** A sentence of the core in the person's unit; one that tells no length has no other form. */
export const inUnit = (words: string, in_inches: InInches | undefined, unit: LengthUnit): string =>
  unit === 'millimetre' ? words : (in_inches?.[unit] ?? words);

/** Sentences of the core in the person's unit, with what stands beside them. */
export const eachInUnit = (words: readonly string[], in_inches: readonly (InInches | null)[] | undefined, unit: LengthUnit): string[] =>
  words.map((one, index) => inUnit(one, in_inches?.[index] ?? undefined, unit));

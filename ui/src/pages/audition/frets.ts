// The frets of a guitar, to choose from.

/** As many as a guitar has whose last one nobody wrote down. */
const USUAL = 24;

/** From the open string to the last fret; what was chosen before the record said how many there are stays. */
export const fretsUpTo = (last: number | null | undefined, chosen: number): { value: string; label: string }[] =>
  Array.from({ length: Math.max(last ?? USUAL, chosen) + 1 }, (_, fret) => ({ value: String(fret), label: fret === 0 ? 'open' : `fret ${fret}` }));

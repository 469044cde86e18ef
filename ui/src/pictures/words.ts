// Words that fit into a drawing.

/** The text, cut where it would run into something; the whole of it stands in the drawing's description. */
export function fitted(text: string, letters: number): string {
  const all = [...text];
  return all.length <= letters ? text : `${all.slice(0, letters - 1).join('').trimEnd()}…`;
}

/** How large bold letters may be, so that a text takes no more room than this; a bold letter is about 0.62 of its size wide. */
export function sized(text: string, room: number, usual = 14): number {
  return Math.min(usual, Math.round((room / (0.62 * Math.max([...text].length, 1))) * 10) / 10);
}

/** `a`, `a and b`, `a, b and c`. */
export function listed(words: readonly string[]): string {
  if (words.length < 2) return words.join('');
  return `${words.slice(0, -1).join(', ')} and ${words[words.length - 1]}`;
}

/** A name on one line, or on two that are broken between words. */
export function onTwoLines(name: string, most: number): string[] {
  if (name.length <= most) return [name];
  const words = name.split(' ');
  let first = words.shift() ?? '';
  while (words.length > 0 && first.length + 1 + (words[0]?.length ?? 0) <= most) first += ` ${words.shift()}`;
  return [first, words.join(' ')].filter((line) => line !== '').map((line) => fitted(line, most));
}

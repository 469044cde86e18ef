// Words that fit into a drawing.

/** The text, cut where it would run into something; the whole of it stands in the drawing's description. */
export function fitted(text: string, letters: number): string {
  const all = [...text];
  return all.length <= letters ? text : `${all.slice(0, letters - 1).join('').trimEnd()}…`;
}

/** `a`, `a and b`, `a, b and c`. */
export function listed(words: readonly string[]): string {
  if (words.length < 2) return words.join('');
  return `${words.slice(0, -1).join(', ')} and ${words[words.length - 1]}`;
}

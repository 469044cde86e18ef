// Takes of the same are told apart by their numbers.

import type { TakeLine } from '../contract';

/** `take 2 of 3` for each of these takes, the newest first, that says the same as another one: the oldest is the first. */
export function numbersOf(takes: readonly Pick<TakeLine, 'entry' | 'title' | 'words'>[]): ReadonlyMap<string, string> {
  const alike = new Map<string, string[]>();
  for (const { entry, title, words } of takes) {
    const said = JSON.stringify([title, words]);
    alike.set(said, [entry, ...(alike.get(said) ?? [])]);
  }
  return new Map(
    [...alike.values()]
      .filter(({ length }) => length > 1)
      .flatMap((entries) => entries.map((entry, at) => [entry, `take ${at + 1} of ${entries.length}`] as const)),
  );
}

// What two answers have in common.

const whole = (one: unknown): one is Record<string, unknown> => typeof one === 'object' && one !== null;

/**
 * What is now, with the parts that are equal to what was before taken from there: a page then draws anew what is another one, and
 * looks at nothing else. `now` is changed by it; it must be nobody else's.
 */
export function alike<One>(before: unknown, now: One): One {
  if (!whole(before) || !whole(now) || Array.isArray(before) !== Array.isArray(now)) return now;
  const names = Object.keys(now);
  let same = names.length === Object.keys(before).length;
  for (const name of names) {
    const one = alike(before[name], now[name]);
    if (one !== now[name]) (now as Record<string, unknown>)[name] = one;
    if (one !== before[name] || !(name in before)) same = false;
  }
  return same ? (before as One) : now;
}

// Parts of the pages that come as files of their own.

import { NotConnected } from './transport';

/**
 * How parts are fetched: when they can't be, the bench can't be reached. With `rest`, they follow by themselves so many
 * milliseconds after the first page, when it has come to rest, so that a dropped connection shuts nobody out.
 */
export function arriving<Parts>(fetch: () => Promise<Parts>, rest?: number): () => Promise<Parts> {
  const load = (): Promise<Parts> =>
    fetch().catch(() => {
      throw new NotConnected();
    });
  if (rest !== undefined) setTimeout(() => void load().catch(() => undefined), rest);
  return load;
}

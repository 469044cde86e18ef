// Recordings that are not handed over yet: every half second is kept on this device as it comes, so that a page, a browser or a
// battery that dies in the middle takes no more than that. What was cut short is offered the next time.

import { newName } from '../names';
import { wavOf } from './wav';

/** A recording on this device. */
export interface Unsent {
  id: string;
  /** What it is of: the kind of thing and its name. */
  of: string;
  begun: number;
  rate: number;
  channels: number;
  /** The device it came from. */
  device: string;
}

const NAME = 'solderlast.recordings';
const STALE = 'recordings';
const PARTS = 'parts';

function opened(): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore(STALE, { keyPath: 'id' });
      asked.result.createObjectStore(PARTS);
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error ?? new Error('no room'));
  });
}

/** Does something with the store, and waits until it is kept. */
async function done<T>(mode: IDBTransactionMode, work: (store: IDBTransaction) => IDBRequest<T> | null): Promise<T | undefined> {
  const store = await opened();
  try {
    return await new Promise((resolve, reject) => {
      const stroke = store.transaction([STALE, PARTS], mode, { durability: 'strict' });
      const asked = work(stroke);
      stroke.oncomplete = () => resolve(asked?.result);
      stroke.onerror = stroke.onabort = () => reject(stroke.error ?? new Error('not kept'));
    });
  } finally {
    store.close();
  }
}

const partsOf = (id: string): IDBKeyRange => IDBKeyRange.bound([id, 0], [id, Number.MAX_SAFE_INTEGER]);

/** A recording that is going on. */
export class Keeping {
  readonly id = newName();
  #count = 0;
  #last: Promise<unknown> = Promise.resolve();
  /** Whether a part could not be kept: the disk is full, or storage is switched off. */
  failed = false;
  #letGo: () => void = () => undefined;

  constructor(private readonly about: Omit<Unsent, 'id' | 'begun' | 'channels'>) {
    // Another page sees by this that the recording is going on and was not cut short.
    void navigator.locks?.request(`recording-${this.id}`, () => new Promise<void>((resolve) => (this.#letGo = resolve)));
  }

  /** Keeps the next part. */
  part(samples: Float32Array<ArrayBuffer>, channels: number): void {
    const number = this.#count;
    this.#count += 1;
    this.#last = this.#last
      .then(() =>
        done('readwrite', (stroke) => {
          if (number === 0) stroke.objectStore(STALE).put({ ...this.about, id: this.id, begun: Date.now(), channels } satisfies Unsent);
          return stroke.objectStore(PARTS).put(samples.buffer, [this.id, number]);
        }),
      )
      .catch(() => {
        this.failed = true;
      });
  }

  /** Waits until all that came is kept. */
  async end(): Promise<void> {
    await this.#last;
    this.#letGo();
  }
}

/** What was recorded of this and not handed over, the newest first; what is being recorded in another page is left out. */
export async function unsent(of: string): Promise<Unsent[]> {
  try {
    const all = ((await done('readonly', (stroke) => stroke.objectStore(STALE).getAll())) ?? []) as Unsent[];
    const held = (await navigator.locks?.query())?.held?.map(({ name }) => name) ?? [];
    return all.filter((one) => one.of === of && !held.includes(`recording-${one.id}`)).sort((a, b) => b.begun - a.begun);
  } catch {
    return [];
  }
}

/** The file of a recording, and how long it is in seconds; nothing where nothing of it is there. */
export async function fileOf(one: Unsent): Promise<{ file: File; seconds: number } | null> {
  const parts = (await done('readonly', (stroke) => stroke.objectStore(PARTS).getAll(partsOf(one.id)))) as ArrayBuffer[] | undefined;
  if (parts === undefined || parts.length === 0) return null;
  const bytes = parts.reduce((sum, part) => sum + part.byteLength, 0);
  const day = new Date(one.begun).toISOString().slice(0, 19).replaceAll(':', '-');
  return { file: wavOf(one.rate, one.channels, parts, `recording-${day}.wav`), seconds: bytes / 4 / one.channels / one.rate };
}

/** Throws a recording away. */
export async function throwAway(id: string): Promise<void> {
  await done('readwrite', (stroke) => {
    stroke.objectStore(STALE).delete(id);
    return stroke.objectStore(PARTS).delete(partsOf(id));
  });
}

// What a person likes on this device. It is no record: in the app it lies in the store plugin's file, in a browser in
// local storage, and whatever is damaged becomes the usual again, with a notice.

import type { LengthUnit } from './contract';
import { inApp } from './transport';

export const UNITS: readonly LengthUnit[] = ['millimetre', 'decimal_inch', 'sixtyfourth'];
export const HANDS = ['right', 'left'] as const;
export const TEXT_SIZES = ['usual', 'large', 'larger', 'largest'] as const;
export const THEMES = ['system', 'light', 'dark'] as const;

export type TappingHand = (typeof HANDS)[number];
export type TextSize = (typeof TEXT_SIZES)[number];
export type Theme = (typeof THEMES)[number];

export interface Preferences {
  /** The unit of lengths. */
  unit: LengthUnit;
  /** The hand that taps; keys and buttons move to its side. */
  hand: TappingHand;
  text: TextSize;
  theme: Theme;
  /** The page that was open last, as a route. */
  page: string;
}

export const USUAL: Readonly<Preferences> = { unit: 'millimetre', hand: 'right', text: 'usual', theme: 'system', page: '' };

const DAMAGED = 'Your choices on this device could not be read, so they are the usual ones again. Your log is not touched.';
const NOT_KEPT = 'Your choices hold for now, but this device could not keep them.';
const KEY = 'solderlast.preferences';
const FILE = 'preferences.json';

const CHECKS: { [Name in keyof Preferences]: (value: unknown) => value is Preferences[Name] } = {
  unit: (value): value is LengthUnit => UNITS.some((one) => one === value),
  hand: (value): value is TappingHand => HANDS.some((one) => one === value),
  text: (value): value is TextSize => TEXT_SIZES.some((one) => one === value),
  theme: (value): value is Theme => THEMES.some((one) => one === value),
  page: (value): value is string => typeof value === 'string' && value.length <= 200 && /^(#\/[\w/.,-]*)?$/.test(value),
};

/** What was kept, each part checked by itself. `damaged` when a part was there and was not one we write. */
export function readPreferences(kept: unknown): { preferences: Preferences; damaged: boolean } {
  const preferences: Preferences = { ...USUAL };
  if (kept === null || kept === undefined) return { preferences, damaged: false };
  if (typeof kept !== 'object' || Array.isArray(kept)) return { preferences, damaged: true };
  let damaged = false;
  const take = <Name extends keyof Preferences>(name: Name): void => {
    const value = (kept as Record<string, unknown>)[name];
    if (value === undefined) return;
    if (CHECKS[name](value)) preferences[name] = value;
    else damaged = true;
  };
  for (const name of Object.keys(USUAL) as (keyof Preferences)[]) take(name);
  return { preferences, damaged };
}

/** Where preferences lie. */
interface Shelf {
  read(): Promise<unknown>;
  write(preferences: Preferences): Promise<void>;
}

const browserShelf: Shelf = {
  read: async () => JSON.parse(localStorage.getItem(KEY) ?? 'null'),
  write: async (preferences) => localStorage.setItem(KEY, JSON.stringify(preferences)),
};

async function appShelf(): Promise<Shelf> {
  const { load } = await import('@tauri-apps/plugin-store');
  const store = await load(FILE, { defaults: {}, autoSave: false });
  return {
    read: async () => {
      const kept = await store.get('preferences');
      // The plugin takes a file it can't read for an empty one; the window remembers that there was something.
      if ((kept === undefined || kept === null) && localStorage.getItem(KEY) === 'in the app') throw new Error('lost');
      return kept;
    },
    write: async (preferences) => {
      await store.set('preferences', preferences);
      await store.save();
      localStorage.setItem(KEY, 'in the app');
    },
  };
}

class Chosen {
  now = $state<Preferences>({ ...USUAL });
  /** Something the person should know about them. */
  notice = $state<string | null>(null);
  #shelf: Shelf | null = null;
  #writing: Promise<void> = Promise.resolve();

  /** Reads what was kept. Never fails. */
  async read(): Promise<void> {
    try {
      this.#shelf = inApp() ? await appShelf() : browserShelf;
      const { preferences, damaged } = readPreferences(await this.#shelf.read());
      this.now = preferences;
      if (damaged) this.notice = DAMAGED;
    } catch {
      this.notice = DAMAGED;
    }
    show(this.now);
  }

  /** Changes some of them, and keeps them. */
  set(changed: Partial<Preferences>): void {
    Object.assign(this.now, changed);
    show(this.now);
    const kept = $state.snapshot(this.now);
    const shelf = this.#shelf;
    // One after the other, so that the last choice is the one that is kept.
    this.#writing = this.#writing
      .then(() => shelf?.write(kept))
      .catch(() => {
        this.notice = NOT_KEPT;
      });
  }
}

export const chosen = new Chosen();

const dark = typeof matchMedia === 'function' ? matchMedia('(prefers-color-scheme: dark)') : null;

function show({ theme, text, hand }: Preferences): void {
  if (typeof document === 'undefined') return;
  const look = document.documentElement.dataset;
  look['theme'] = theme === 'system' ? (dark?.matches ? 'dark' : 'light') : theme;
  look['text'] = text;
  look['hand'] = hand;
}

dark?.addEventListener('change', () => show(chosen.now));

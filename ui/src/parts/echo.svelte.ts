// Says back how something typed is understood, while it is being typed, and asks where it can hardly be. The reading itself is the
// bench's.

import { tick } from 'svelte';
import { show } from '../answering';
import { asksHere, type Asked } from '../asking';
import type { LengthUnit, ModeReading, Quantity } from '../contract';
import { askOnce, Refused } from '../transport';

/** The least and the most that can be here, as the bench said. */
export type Plausible = ModeReading['plausible'];

const PAUSE = 120;
/** Longer than this no act waits for what is asked about it, in milliseconds. */
const PATIENCE = 1500;

/** What somebody said is so, by field: it is not asked again. */
const confirmed = new Set<string>();

export class Echo implements Asked {
  /** As it is understood; empty while nothing is. */
  shown = $state('');
  /** Why it is not understood. */
  unclear = $state<string | null>(null);
  /** What is asked about it all the same. */
  query = $state<string | null>(null);
  /** What may have been meant. */
  instead = $state<string | null>(null);
  /** The bench will not have it as it is. */
  never = $state(false);
  /** Somebody said that it is so. */
  said = $state(false);
  /** Something waits for the answer. */
  waits = $state(false);
  text = '';
  /** The question on the page. */
  at: HTMLElement | undefined;
  #about = '';
  #asked = 0;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #look: (() => Promise<void>) | null = null;
  #looking: Promise<void> = Promise.resolve();

  get open(): boolean {
    return this.query !== null && !this.said;
  }

  /** Takes part in what is asked before something is written; to be called for its end. */
  readonly here = (): (() => void) => asksHere(this);

  /** Something was typed in a field of this name. The newest answer wins, whenever it comes. */
  typed(quantity: Quantity, text: string, unit: LengthUnit, plausible: Plausible = null, field = '', beside: string | null = null): void {
    clearTimeout(this.#timer);
    this.text = text;
    const mine = (this.#asked += 1);
    const take = (shown: string, unclear: string | null, query: string | null, instead: string | null, never: boolean): void => {
      if (mine !== this.#asked) return;
      this.#about = `${quantity} ${field} ${shown}`;
      this.said = query !== null && confirmed.has(this.#about);
      this.waits = false;
      this.shown = shown;
      this.unclear = unclear;
      this.query = query;
      this.instead = instead;
      this.never = never;
    };
    if (text.trim() === '') {
      this.#look = null;
      take('', null, null, null, false);
      return;
    }
    this.#look = async () => {
      this.#look = null;
      try {
        const { shown, query, instead, never } = await askOnce({ ask: 'understand', quantity, text, unit, plausible, beside }, 'understood');
        take(shown, null, query, instead ?? null, never ?? false);
      } catch (trouble) {
        // Without a connection nothing is said: what was typed is kept, and is read when it is recorded.
        take('', trouble instanceof Refused ? trouble.sentence : null, null, null, false);
      }
    };
    this.#timer = setTimeout(() => this.#begin(), PAUSE);
  }

  #begin(): void {
    clearTimeout(this.#timer);
    if (this.#look !== null) this.#looking = this.#look();
  }

  async settle(): Promise<void> {
    this.#begin();
    await Promise.race([this.#looking, new Promise((late) => setTimeout(late, PATIENCE))]);
  }

  /** It is as it was typed. */
  confirm(): void {
    confirmed.add(this.#about);
    this.said = true;
  }

  async show(): Promise<void> {
    this.waits = true;
    await tick();
    for (let fold = this.at?.closest('details'); fold; fold = fold.parentElement?.closest('details')) fold.open = true;
    show(this.at);
  }
}

// Says back how something typed is understood, while it is being typed. The reading itself is the bench's.

import type { LengthUnit, ModeReading, Quantity } from '../contract';
import { askOnce, Refused } from '../transport';

/** The least and the most that can be here, as the bench said. */
export type Plausible = ModeReading['plausible'];

const PAUSE = 120;

export class Echo {
  /** As it is understood; empty while nothing is. */
  shown = $state('');
  /** Why it is not understood. */
  unclear = $state<string | null>(null);
  /** What is asked about it all the same. */
  query = $state<string | null>(null);
  /** What may have been meant. */
  instead = $state<string | null>(null);
  #asked = 0;
  #timer: ReturnType<typeof setTimeout> | undefined;

  /** Something was typed. The newest answer wins, whenever it comes. */
  typed(quantity: Quantity, text: string, unit: LengthUnit, plausible: Plausible = null): void {
    clearTimeout(this.#timer);
    const mine = (this.#asked += 1);
    if (text.trim() === '') {
      this.shown = '';
      this.unclear = null;
      this.query = null;
      this.instead = null;
      return;
    }
    this.#timer = setTimeout(async () => {
      let shown = '';
      let query: string | null = null;
      let instead: string | null | undefined;
      let unclear: string | null = null;
      try {
        ({ shown, query, instead } = await askOnce({ ask: 'understand', quantity, text, unit, plausible }, 'understood'));
      } catch (trouble) {
        // Without a connection nothing is said: what was typed is kept, and is read when it is recorded.
        if (trouble instanceof Refused) unclear = trouble.sentence;
      }
      if (mine !== this.#asked) return;
      this.shown = shown;
      this.unclear = unclear;
      this.query = query;
      this.instead = instead ?? null;
    }, PAUSE);
  }
}

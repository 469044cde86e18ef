// Leads to where a hold is lifted. What lifts one carries its name in `data-lifts`, wherever it stands.

import { show } from './answering';
import type { SafetyHold } from './contract';
import { whenHandsOn } from './hands';

/** How often a page that is still coming is looked at, in milliseconds. */
const LOOKED_AT = 60;

class Lifts {
  /** The hold that somebody goes to lift, until what lifts it is in view. */
  wanted = $state<SafetyHold | null>(null);

  /** The hold that this way leads to, until somebody does the next thing. */
  #going: SafetyHold | null = null;

  /** Brings what lifts this hold into view, as soon as a page shows it. Answers whether that is this page. */
  bring(hold: SafetyHold): boolean {
    this.wanted = hold;
    if (this.#show(hold)) return true;
    this.#going = hold;
    whenHandsOn(() => {
      this.#going = null;
      this.wanted = null;
    });
    this.#wait(hold);
    return false;
  }

  /** A page that came by this way has taken the focus and scrolled to its top: what it was opened for is brought back. */
  pageCame(): void {
    if (this.#going !== null) this.#show(this.#going);
  }

  #show(hold: SafetyHold): boolean {
    const at = document.querySelector<HTMLElement>(`[data-lifts~="${hold}"]`);
    if (at === null) return false;
    for (let fold = at.closest('details'); fold; fold = fold.parentElement?.closest('details') ?? null) fold.open = true;
    // Beneath a list that is long its first line is what is looked for.
    show(at, at.offsetHeight > innerHeight / 2 ? 'start' : 'center');
    this.wanted = null;
    return true;
  }

  #wait(hold: SafetyHold): void {
    setTimeout(() => {
      if (this.#going === hold && this.wanted === hold && !this.#show(hold)) this.#wait(hold);
    }, LOOKED_AT);
  }
}

export const lifts = new Lifts();

// Leads to where a hold is lifted. What lifts one carries its name in `data-lifts`, wherever it stands.

import { show } from './answering';
import type { SafetyHold } from './contract';

/** Longer than this nobody waits for the page that has it, in milliseconds. */
const PATIENCE = 3000;

class Lifts {
  /** The hold that somebody goes to lift, until what lifts it is in view. */
  wanted = $state<SafetyHold | null>(null);

  /** Brings what lifts this hold into view, as soon as a page shows it. Answers whether that is this page. */
  bring(hold: SafetyHold): boolean {
    this.wanted = hold;
    const here = this.#show(hold);
    if (!here) this.#wait(hold, performance.now());
    return here;
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

  #wait(hold: SafetyHold, since: number): void {
    setTimeout(() => {
      if (this.wanted !== hold || performance.now() - since > PATIENCE) return;
      // Once more when the page has come to rest: its heading took the focus.
      if (this.#show(hold)) setTimeout(() => this.#show(hold), 150);
      else this.#wait(hold, since);
    }, 60);
  }
}

export const lifts = new Lifts();

// Leads to where a hold is lifted. What lifts one carries its name in `data-lifts`, wherever it stands.

import { inView, show } from './answering';
import type { SafetyHold } from './contract';
import { whenHandsOn } from './hands';

class Lifts {
  /** The hold that somebody goes to lift, until they do the next thing. */
  wanted = $state<SafetyHold | null>(null);

  /** The hold that this way leads to, until somebody does the next thing. */
  #going: SafetyHold | null = null;

  /** Brings what lifts this hold into view, as soon as a page shows it. Answers whether that is this page. */
  bring(hold: SafetyHold): boolean {
    this.wanted = hold;
    const here = this.#show(hold);
    this.#going = hold;
    // What a page shows comes bit by bit, and pushes aside what came before.
    const grown = new ResizeObserver(() => this.#again());
    grown.observe(document.body);
    whenHandsOn(() => {
      grown.disconnect();
      this.#going = null;
      this.wanted = null;
    });
    return here;
  }

  /** A page that came by this way has taken the focus and scrolled to its top: what it was opened for is brought back. */
  pageCame(): void {
    this.#again();
  }

  #again(): void {
    if (this.#going !== null) this.#show(this.#going);
  }

  #show(hold: SafetyHold): boolean {
    // What is folded away comes once it is unfolded, and may hold the very place.
    const at = [...document.querySelectorAll<HTMLElement>(`[data-lifts~="${hold}"]`)].find((one) => one.querySelector(`[data-lifts~="${hold}"]`) === null);
    if (at === undefined) return false;
    for (let fold = at.closest('details'); fold; fold = fold.parentElement?.closest('details') ?? null) fold.open = true;
    // Beneath a list that is long its first line is what is looked for.
    if (!inView(at) || !at.contains(document.activeElement)) show(at, at.offsetHeight > innerHeight / 2 ? 'start' : 'center');
    return true;
  }
}

export const lifts = new Lifts();

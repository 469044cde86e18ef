// Answers that pages show.

import { alike } from './alike';
import type { Ask, Reply } from './contract';
import { ask, type ReplyOf } from './transport';

/** What a page shows: the last answer stays while a newer one is fetched, also while other pages are looked at. */
export class Fetched<Kind extends Reply['reply']> {
  now = $state.raw<ReplyOf<Kind> | null>(null);
  trouble = $state.raw<unknown>(null);
  busy = $state(false);
  readonly #kind: Kind;
  #newest = 0;

  constructor(kind: Kind) {
    this.#kind = kind;
  }

  /** Shows an answer that is here already: newer than whatever is on its way. */
  put(reply: ReplyOf<Kind>): void {
    this.#newest += 1;
    this.busy = false;
    this.trouble = null;
    this.now = reply;
  }

  /** Fetches. The newest question wins, whenever answers come. Never rejects. */
  async fetch(question: Ask): Promise<void> {
    const mine = (this.#newest += 1);
    this.busy = true;
    this.trouble = null;
    try {
      const reply = await ask(question, this.#kind);
      if (mine === this.#newest) this.now = alike(this.now, reply);
    } catch (trouble) {
      if (mine === this.#newest) this.trouble = trouble;
    } finally {
      if (mine === this.#newest) this.busy = false;
    }
  }
}

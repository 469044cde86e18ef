// Typed questions and answers: the contract over the transport.

import type { Ask, Reply } from './contract';
import { ask, NotConnected } from './transport';

export type ReplyOf<Kind extends Reply['reply']> = Extract<Reply, { reply: Kind }>;

/** Asks the bench, and gives an answer of the kind that is expected. Rejects as `ask` does. */
export async function asked<Kind extends Reply['reply']>(kind: Kind, question: Ask): Promise<ReplyOf<Kind>> {
  const reply = (await ask(question)) as Reply;
  // Another kind of answer comes from something that is not this bench.
  if (reply.reply !== kind) throw new NotConnected();
  return reply as ReplyOf<Kind>;
}

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

  /** Fetches. The newest question wins, whenever answers come. Never rejects. */
  async fetch(question: Ask): Promise<void> {
    const mine = (this.#newest += 1);
    this.busy = true;
    this.trouble = null;
    try {
      const reply = await asked(this.#kind, question);
      if (mine === this.#newest) this.now = reply;
    } catch (trouble) {
      if (mine === this.#newest) this.trouble = trouble;
    } finally {
      if (mine === this.#newest) this.busy = false;
    }
  }
}

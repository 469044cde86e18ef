// The bundle on its way out or in, as the bench says it stands; asked again and again while somebody works on it.

import type { CarryView } from '../contract';
import { newName } from '../names';
import { ask, askOnce, NotConnected, type ReplyOf } from '../transport';
import { sendBundle } from './files';

const PAUSE = 400;

export class Carried {
  now = $state.raw<CarryView | null>(null);
  trouble = $state.raw<unknown>(null);
  /** Something was asked and is not answered yet. */
  busy = $state(false);
  /** How much of a bundle has gone to the bench, in hundredths, while it goes. */
  sent = $state<number | null>(null);
  /** Counts what came to an end here, so that others look again. */
  ends = $state(0);
  #timer: ReturnType<typeof setTimeout> | undefined;
  #sending: AbortController | null = null;
  #gone = false;

  /** Looks how it stands; answers when the page has gone do not count. */
  start(): () => void {
    this.#gone = false;
    void this.#work(() => ask({ ask: 'carry' }, 'carry'));
    return () => {
      this.#gone = true;
      clearTimeout(this.#timer);
      this.#sending?.abort();
    };
  }

  pack(auditions: readonly string[], takes: boolean): void {
    const carry = newName();
    void this.#work(() => ask({ ask: 'pack_bundle', carry, auditions: [...auditions], takes }, 'carry'));
  }

  async send(file: File): Promise<void> {
    this.sent = 0;
    const sending = (this.#sending = new AbortController());
    await this.#work(() => sendBundle(newName(), file, (sent) => (this.sent = sent), sending.signal));
    this.sent = null;
    this.#sending = null;
    // Stopped on purpose: there is nothing to say about it.
    if (sending.signal.aborted && this.trouble instanceof NotConnected) this.trouble = null;
  }

  takeIn(): void {
    const carry = this.now?.id;
    if (carry !== undefined) void this.#work(() => ask({ ask: 'take_in', carry }, 'carry'));
  }

  /** Calls off what goes on, or puts away what came of it. */
  callOff(): void {
    this.#sending?.abort();
    const carry = this.now?.id;
    if (carry !== undefined && this.sent === null) void this.#work(() => ask({ ask: 'call_off', carry }, 'carry'), true);
  }

  async #work(question: () => Promise<ReplyOf<'carry'>>, putAway = false): Promise<void> {
    clearTimeout(this.#timer);
    this.busy = true;
    this.trouble = null;
    try {
      const { carry } = await question();
      // What was brought in is still said once; putting it away is enough then.
      this.#show(putAway && carry?.standing !== 'working' ? null : carry);
    } catch (trouble) {
      this.trouble = trouble;
    }
    this.busy = false;
  }

  #show(carry: CarryView | null): void {
    if (this.now?.standing === 'working' && carry?.standing !== 'working') this.ends += 1;
    this.now = carry;
    if (carry?.standing === 'working' && !this.#gone) this.#timer = setTimeout(() => void this.#again(), PAUSE);
  }

  async #again(): Promise<void> {
    try {
      this.#show((await askOnce({ ask: 'carry' }, 'carry')).carry);
    } catch {
      // The bench goes on with it; it is asked again.
      if (!this.#gone) this.#timer = setTimeout(() => void this.#again(), PAUSE * 4);
    }
  }
}

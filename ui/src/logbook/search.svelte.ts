// What is looked for in the logbook. It outlives the page, so that Back from an audition comes to the same lines.

import type { Ask, Find, FoundBeside, Line, CameTo, State } from '../contract';
import { ask } from '../transport';
import { dayBegins } from '../dates';

const PAUSE = 200;

class Search {
  words = $state('');
  pickup = $state('');
  guitar = $state('');
  place = $state('');
  mode = $state('');
  proof = $state<CameTo | ''>('');
  state = $state<State | ''>('');
  /** A bench that wrote in it. */
  bench = $state('');
  /** Whether a hold was passed. */
  passed = $state<'yes' | 'no' | ''>('');
  /** First and last day, as date fields write them. */
  first = $state('');
  last = $state('');

  lines = $state.raw<readonly Line[] | null>(null);
  /** What was found beside auditions. */
  beside = $state.raw<readonly FoundBeside[]>([]);
  trouble = $state.raw<unknown>(null);
  busy = $state(false);
  #after = $state<number | null>(null);
  #further = false;
  #newest = 0;
  #timer: ReturnType<typeof setTimeout> | undefined;

  get filtered(): boolean {
    const { pickup, guitar, place, mode, proof, state, bench, passed, first, last } = this;
    return [pickup, guitar, place, mode, proof, state, bench, passed, first, last].some((chosen) => chosen !== '');
  }

  /** What is chosen from a list; what is not is left out. */
  #chosen(): Partial<Find> {
    const { pickup, guitar, place, mode, proof, state, bench, passed } = this;
    const chosen = Object.entries({ pickup, guitar, place, mode, proof, state, bench }).filter(([, one]) => one !== '');
    return { ...Object.fromEntries(chosen), ...(passed === '' ? {} : { overridden: passed === 'yes' }) };
  }

  get narrowed(): boolean {
    return this.filtered || this.words.trim() !== '';
  }

  /** What is looked for, from its first page on. */
  get find(): Find {
    return {
      words: this.words,
      ...this.#chosen(),
      from: dayBegins(this.first),
      until: dayBegins(this.last, 1),
      after: null,
    };
  }

  /** The last day comes before the first. */
  get backwards(): boolean {
    return this.first !== '' && this.last !== '' && this.last < this.first;
  }

  get more(): boolean {
    return this.#after !== null;
  }

  /** Looks for one thing's auditions and nothing else. */
  only(thing: { pickup?: string; guitar?: string }): void {
    this.everything();
    this.pickup = thing.pickup ?? '';
    this.guitar = thing.guitar ?? '';
  }

  everything(): void {
    this.words = this.pickup = this.guitar = this.place = this.mode = this.bench = this.first = this.last = '';
    this.proof = this.state = this.passed = '';
    this.lines = null;
    this.beside = [];
    this.#further = false;
  }

  /** Looks again when the page comes; a list of several pages stays as it was, so that Back finds its place in it. */
  async refresh(): Promise<void> {
    if (!this.#further) await this.look();
  }

  /** Looks again once nothing was typed for a moment. */
  lookSoon(): void {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void this.look(), PAUSE);
  }

  /** The first page, or the one after what is shown. The newest question wins. */
  async look(further = false): Promise<void> {
    clearTimeout(this.#timer);
    const mine = (this.#newest += 1);
    this.busy = true;
    this.trouble = null;
    const question: Ask = { ask: 'logbook', find: { ...this.find, after: further ? this.#after : null } };
    try {
      const { found } = await ask(question, 'logbook');
      if (mine !== this.#newest) return;
      this.lines = further ? [...(this.lines ?? []), ...found.lines] : found.lines;
      if (!further) this.beside = found.beside ?? [];
      this.#after = found.after;
      this.#further = further;
    } catch (trouble) {
      if (mine === this.#newest) this.trouble = trouble;
    }
    if (mine === this.#newest) this.busy = false;
  }
}

export const search = new Search();

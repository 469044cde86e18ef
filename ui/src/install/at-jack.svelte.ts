// Readings at the jack, a position after the other: the one that is set now, what is typed for it, and one measured again by choice.

import { untrack } from 'svelte';
import { showNext } from '../answering';
import type { JackSet } from '../contract';
import { draftKey, Typed } from '../drafts.svelte';
import type { InstallSession } from './session.svelte';

/** A position of the guitar's switches, and what was read there. */
export interface Position {
  at: JackSet;
  words: string;
  reading: string | null;
}

/** All positions, the one that comes next, and the room's temperature as it was told. */
export interface Positions<One extends Position> {
  readings: One[];
  next: JackSet | null;
  room: string | null;
}

const same = (one: JackSet | null, other: JackSet | null): boolean => JSON.stringify(one) === JSON.stringify(other);

export class AtJack<One extends Position> {
  readonly session: InstallSession;
  readonly asks: 'read_jack_before' | 'read_jack';
  readonly room: Typed;
  /** Somebody was asked about what is typed, and said that it is so. */
  sure = $state(false);
  readonly #part: string;
  readonly #from: () => Positions<One>;
  /** A position that is measured again by choice. */
  again = $state<JackSet | null>(null);
  readonly readings = $derived.by(() => this.#from().readings);
  readonly at = $derived.by(() => this.again ?? this.#from().next);
  /** The position that is set now. */
  readonly now = $derived(this.readings.find((one) => same(one.at, this.at)) ?? null);
  readonly typed = $derived.by(() => new Typed(draftKey(this.session.id, this.#part, this.now?.words ?? '')));

  /** `part` names what is typed among the drafts of an install. */
  constructor(session: InstallSession, asks: 'read_jack_before' | 'read_jack', part: string, from: () => Positions<One>) {
    this.session = session;
    this.asks = asks;
    this.#part = part;
    this.#from = from;
    this.room = untrack(() => new Typed(draftKey(session.id, part, 'room'), from().room ?? ''));
  }

  is(one: One): boolean {
    return same(one.at, this.at);
  }

  /** Measures a position again; its pad comes beside the thumb. */
  measure(at: JackSet | null): void {
    this.again = at;
    showNext('[data-position] input', 'start');
  }

  /** Writes down what is typed; answers whether it was. */
  record = async (): Promise<boolean> => {
    const { now, session } = this;
    if (now === null || this.typed.text === '') return false;
    const written = this.typed;
    const read = { at: now.at, reading: written.text, room: this.room.text };
    if (!(await session.write(this.asks === 'read_jack' ? { ask: this.asks, ...read, sure: this.sure } : { ask: this.asks, ...read }))) return false;
    written.recorded();
    this.room.recorded(this.room.text);
    this.again = null;
    return true;
  };
}

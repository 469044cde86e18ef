// What is typed of each mode. Every mode has words of its own: whichever is in hand when they are written, they are written of the one
// that they were typed in.

import { draftKey, Typed } from '../../drafts.svelte';

/** A mode, and the words that stand in the log of it. */
interface Noted {
  mode: string;
  note: string;
}

export class Notes {
  readonly #typed = new Map<string, Typed>();
  /** Words that are on their way, by mode: leaving the box and the way on write them once. */
  readonly #underWay = new Map<string, { words: string; written: Promise<boolean> }>();

  /** `write` writes the words of a mode. All modes at once: what was typed in any and not written yet counts as well. */
  constructor(
    private readonly id: string,
    private readonly write: (mode: string, words: string) => Promise<boolean>,
    noted: readonly Noted[],
  ) {
    for (const { mode, note } of noted) this.#typed.set(mode, new Typed(draftKey(id, 'listen', mode), note));
  }

  /** The words of a mode. */
  of(mode: string): Typed {
    const typed = this.#typed.get(mode) ?? new Typed(draftKey(this.id, 'listen', mode));
    this.#typed.set(mode, typed);
    return typed;
  }

  /** What was struck out is gone from its field as well. */
  follow(noted: readonly Noted[]): void {
    for (const { mode, note } of noted) this.of(mode).follow(note);
  }

  /** Writes the words of a mode, where other words stand in the log. Answers whether they stand there. */
  keep({ mode, note }: Noted): Promise<boolean> {
    const typed = this.of(mode);
    const words = typed.text;
    if (words.trimEnd() === note) return Promise.resolve(true);
    const before = this.#underWay.get(mode);
    if (before?.words === words) return before.written;
    const done = typed.writing();
    const written = this.write(mode, words).then((wrote) => {
      if (wrote) done();
      if (this.#underWay.get(mode)?.written === written) this.#underWay.delete(mode);
      return wrote;
    });
    this.#underWay.set(mode, { words, written });
    return written;
  }
}

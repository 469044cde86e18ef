// Writing a form down: one entry, tried until the bench answers, and what it says when it will not have it.

import { tick } from 'svelte';
import { answered, show } from './answering';
import { Unanswered } from './asking';
import type { Ask, Reply } from './contract';
import { newName } from './names';
import { ask, Refused, sentenceOf, type ReplyOf } from './transport';

export class Writing {
  busy = $state(false);
  /** The field at fault, as a path into the form, and why. */
  field = $state<string | null>(null);
  sentence = $state<string | null>(null);

  /** Why this field was not taken. */
  readonly at = (field: string): string | null => (this.field === field ? this.sentence : null);

  /** Whether the field at fault is one of these or lies in one of them. */
  readonly within = (...fields: readonly string[]): boolean =>
    fields.some((field) => this.field === field || (this.field?.startsWith(`${field}.`) ?? false));

  clear(): void {
    this.field = null;
    this.sentence = null;
  }

  // The field at fault comes into view and takes the keys.
  #show(form: HTMLElement | undefined): void {
    const at = form ?? document.querySelector('main');
    show(at?.querySelector('[aria-invalid="true"]') ?? at?.querySelector('[role="alert"].shown, .trouble'));
  }

  /** Writes, and gives the answer; null when it was refused, with the reason in `field` and `sentence`. */
  async write<Kind extends Reply['reply']>(
    kind: Kind,
    question: (entry: string) => Ask,
    form?: () => HTMLElement | undefined,
  ): Promise<ReplyOf<Kind> | null> {
    if (this.busy) return null;
    this.busy = true;
    this.clear();
    try {
      return await answered(() => ask(question(newName()), kind));
    } catch (trouble) {
      if (trouble instanceof Unanswered) return null;
      this.sentence = sentenceOf(trouble);
      if (trouble instanceof Refused) this.field = trouble.field?.replace(/^(form|find)\./, '') ?? null;
      return null;
    } finally {
      this.busy = false;
      await tick();
      if (this.sentence !== null) this.#show(form?.());
    }
  }
}

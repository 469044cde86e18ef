// A whole form that is being filled in, kept from the first key until it is recorded.

import { clearDraft, draftOf, keepDraft } from '../drafts.svelte';
import { newName } from '../names';

interface Kept<Form> {
  id: string;
  start: string;
  form: Form;
}

/** Whether a part of a form may have become this one: of the same kind, or one of them is not answered yet. */
function canBecome(part: unknown, other: unknown): boolean {
  if (other === undefined) return false;
  if (part === null) return true;
  if (other === null) return !Array.isArray(part) && typeof part !== 'string';
  return typeof other === typeof part && Array.isArray(other) === Array.isArray(part);
}

/** Whether something read from a draft has the parts of a form. */
function sameParts(start: object, read: unknown): boolean {
  if (typeof read !== 'object' || read === null) return false;
  return Object.entries(start).every(([name, part]) => canBecome(part, (read as Record<string, unknown>)[name]));
}

export class Drafted<Form extends object> {
  form = $state() as Form;
  /** Names what is being written, also when it is new, so that writing it again makes no second one. */
  id: string;
  /** What is shown was typed earlier and never recorded. */
  found = $state(false);
  /** The record was changed since that was typed. */
  changedSince = $state(false);
  readonly #key: string;
  readonly #start: string;
  readonly #isNew: boolean;
  #last = '';
  /** What was typed before it was started over, or since what was typed before came back. */
  #aside: Form | null = $state.raw(null);

  /** `id` is the thing's, or null for a new one. */
  constructor(key: string, id: string | null, start: Form) {
    this.#key = key;
    this.#start = JSON.stringify(start);
    this.id = id ?? newName();
    this.#isNew = id === null;
    this.form = start;
    this.#last = this.#start;
    this.#find(start);
  }

  /** Shows what was typed earlier, if anything was. */
  #find(start: Form): void {
    const kept = this.#kept(start);
    if (kept === null || JSON.stringify(kept.form) === this.#start) return;
    this.form = kept.form;
    this.#last = JSON.stringify(kept.form);
    if (this.#isNew) this.id = kept.id;
    this.found = true;
    this.changedSince = kept.start !== this.#start;
  }

  #kept(start: Form): Kept<Form> | null {
    try {
      const kept = JSON.parse(draftOf(this.#key) ?? 'null') as Kept<Form> | null;
      if (kept === null || typeof kept.id !== 'string' || typeof kept.start !== 'string') return null;
      return sameParts(start, kept.form) ? kept : null;
    } catch {
      return null;
    }
  }

  /** To be called whenever the form may have changed; reads all of it. */
  keep(): void {
    const text = JSON.stringify(this.form);
    if (text === this.#last) {
      // The bench may have told only now what was typed elsewhere.
      if (text === this.#start) this.#find(this.form);
      return;
    }
    this.#last = text;
    if (text === this.#start) clearDraft(this.#key);
    else keepDraft(this.#key, JSON.stringify({ id: this.id, start: this.#start, form: this.form }));
  }

  /** Whether something that was typed is kept aside. */
  get hasAside(): boolean {
    return this.#aside !== null;
  }

  /** Puts the form back to where it began; `exchange` brings what was typed again. */
  startOver(): void {
    this.#aside = $state.snapshot(this.form) as Form;
    this.form = JSON.parse(this.#start) as Form;
    this.found = false;
    this.changedSince = false;
  }

  /** Brings back what is kept aside; what was typed meanwhile is kept there in its place. */
  exchange(): void {
    if (this.#aside === null) return;
    const now = $state.snapshot(this.form) as Form;
    this.form = this.#aside;
    this.#aside = JSON.stringify(now) === this.#start ? null : now;
  }

  /** It is recorded. */
  recorded(): void {
    clearDraft(this.#key);
    this.#last = this.#start;
  }
}

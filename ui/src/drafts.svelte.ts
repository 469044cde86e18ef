// Keeps what is being typed: on this device with every key, and in the bench's log shortly after, until it is recorded.

import { textsKept } from './texts';
import { askOnce } from './transport';

const HERE = 'solderlast.draft.';
/** Keys of what is newer here than at the bench. */
const UNSENT = 'solderlast.unsent-drafts';
const PAUSE = 800;

/** Where something is typed: an audition, a pickup or another thing; a step or form; a field. */
export function draftKey(...parts: string[]): string {
  return parts.join('/');
}

/** What was typed and not sent yet, each with the text that goes. */
const waiting = new Map<string, { text: string; timer: ReturnType<typeof setTimeout> }>();
/** What the bench has and this device may not have. May be there only when fields are shown already. */
let elsewhere = $state.raw(new Map<string, string>());

function keepHere(key: string, text: string): void {
  try {
    if (text === '') localStorage.removeItem(HERE + key);
    else localStorage.setItem(HERE + key, text);
  } catch {
    // No room, or storage is switched off: this page still has it, and the bench gets it.
    elsewhere.set(key, text);
  }
}

function hereOrNull(key: string): string | null {
  try {
    return localStorage.getItem(HERE + key);
  } catch {
    return null;
  }
}

function mark(key: string, unsent: boolean): void {
  const others = textsKept(UNSENT).filter((one) => one !== key);
  const now = unsent ? [...others, key] : others;
  try {
    if (now.length === 0) localStorage.removeItem(UNSENT);
    else localStorage.setItem(UNSENT, JSON.stringify(now));
  } catch {
    // As above.
  }
}

async function send(key: string, text: string): Promise<void> {
  waiting.delete(key);
  try {
    await askOnce({ ask: 'keep_draft', key, text }, 'drafts');
    if (!waiting.has(key)) mark(key, false);
  } catch {
    // It is kept here, and goes with the next key or the next start.
  }
}

/** Keeps text. Empty text means that nothing is being typed there any more. */
export function keepDraft(key: string, text: string): void {
  keepHere(key, text);
  mark(key, text !== '');
  if (text === '') elsewhere.delete(key);
  clearTimeout(waiting.get(key)?.timer);
  waiting.set(key, { text, timer: setTimeout(() => void send(key, text), PAUSE) });
}

/** What was being typed there, if it was not recorded. */
export function draftOf(key: string): string | null {
  return hereOrNull(key) ?? elsewhere.get(key) ?? null;
}

/** It is recorded: the draft is not needed any more. */
export function clearDraft(key: string): void {
  if (draftOf(key) === null && !waiting.has(key)) return;
  clearTimeout(waiting.get(key)?.timer);
  keepHere(key, '');
  mark(key, false);
  elsewhere.delete(key);
  void send(key, '');
}

/** Clears every draft of a step or form whose key begins like this. */
export function clearDrafts(...parts: string[]): void {
  const start = `${draftKey(...parts)}/`;
  const keys = new Set([...elsewhere.keys(), ...waiting.keys()]);
  try {
    for (let index = 0; index < localStorage.length; index += 1) {
      const key = localStorage.key(index);
      if (key?.startsWith(HERE)) keys.add(key.slice(HERE.length));
    }
  } catch {
    // Storage is switched off: there is nothing to clear in it.
  }
  for (const key of keys) if (key.startsWith(start)) clearDraft(key);
}

/**
 * Fetches what was typed on another device or in another browser, and sends what the bench never got. Never fails.
 *
 * What the bench has is newer than what is here and was sent: a browser that is killed loses what it kept last, a bench does not.
 */
export async function fetchDrafts(): Promise<void> {
  try {
    const { drafts } = await askOnce({ ask: 'drafts' }, 'drafts');
    const unsent = textsKept(UNSENT);
    elsewhere = new Map(drafts.map(({ key, text }) => [key, text]));
    for (const [key, text] of elsewhere) if (!unsent.includes(key) && hereOrNull(key) !== null) keepHere(key, text);
    for (const key of unsent) {
      const text = hereOrNull(key);
      if (text !== null && !waiting.has(key)) void send(key, text);
    }
  } catch {
    // What was typed here is still here.
  }
}

/** Sends what waits at once, because the page is being put away. */
export function sendDraftsNow(): void {
  for (const [key, { text, timer }] of waiting) {
    clearTimeout(timer);
    void send(key, text);
  }
}

if (typeof document !== 'undefined') {
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'hidden') sendDraftsNow();
  });
}

/** Text in a field, kept from the first key until it is recorded. Begins with the draft, or else with `start`. */
export class Typed {
  readonly key: string;
  #text = $state('');
  /** Nothing was done here yet: a draft that the bench tells late is taken up. */
  #untouched = $state(true);
  /** What stands in the log, as far as this field knows. */
  #stands = $state('');

  constructor(key: string, start = '') {
    this.key = key;
    this.#stands = start;
    this.#text = draftOf(key) ?? start;
  }

  get text(): string {
    return (this.#untouched && elsewhere.has(this.key) ? draftOf(this.key) : null) ?? this.#text;
  }

  set text(text: string) {
    if (text === this.text) return;
    this.#shows(text);
    keepDraft(this.key, text);
  }

  #shows(text: string): void {
    this.#untouched = false;
    this.#text = text;
  }

  /** Something else is typed than stands in the log. */
  get changed(): boolean {
    return this.text !== this.#stands;
  }

  /** It is recorded; the field shows `text` from now on. */
  recorded(text = ''): void {
    clearDraft(this.key);
    this.#shows(text);
    this.#stands = text;
  }

  /** What it says now is being written. To be called once it was: what was typed meanwhile stays typed. */
  writing(): () => void {
    const written = this.text;
    return () => {
      if (this.text === written) this.recorded(written);
      else this.#stands = written;
    };
  }

  /** What stands in the log now, perhaps because a line was struck out. The field shows it, unless something else was typed. */
  follow(stands: string): void {
    if (stands === this.#stands) return;
    if (this.text === this.#stands) this.recorded(stands);
    this.#stands = stands;
  }
}

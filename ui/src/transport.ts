// Carries a question from a page to the bench and its answer back: through the window of the app, over HTTP, or to a worker.
//
// Whatever writes carries the name of its entry, and a name is written once at most. So when nothing comes back, the
// very same question is sent again, until it is answered. What waits to be sent is kept on the device, also when the
// page is closed.

import { answersFirst, Unanswered } from './asking';
import { connection } from './connection.svelte';
import type { Ask, Code, Refusal, Reply } from './contract';
import { forgetHeld, heldName, keepFull, whole, type Different, type InFull } from './held';
import { textsKept } from './texts';

/** The answer of this kind. */
export type ReplyOf<Kind extends Reply['reply']> = Extract<Reply, { reply: Kind }>;

/** The bench said no. Nothing was written. */
export class Refused extends Error {
  override readonly name = 'Refused';

  constructor(
    /** A stable code. */
    readonly code: Code,
    /** What happened, what was kept, what to do. */
    readonly sentence: string,
    /** The field at fault, as a path into the question. */
    readonly field: string | null,
  ) {
    super(sentence);
  }
}

/** The bench did not answer. A question that writes is never given up, so this comes from reading only. */
export class NotConnected extends Error {
  override readonly name = 'NotConnected';
  readonly sentence = 'The bench does not answer. Check that it is on and that this phone is on its network.';
}

/** The bench speaks another version of the contract than this page. */
export class OtherVersion extends Error {
  override readonly name = 'OtherVersion';
  readonly sentence = 'This page and the bench are of different versions. Load the page again.';
}

/** One attempt: sends a question as text, and gives the answer as text; throws when none came back. `has` names the answer about
 * the audition that is still here, so that only what is different comes. */
export type Carrier = (ask: string, has: string | null) => Promise<string>;

const UNSENT = 'solderlast.unsent';
const PATIENCE = 20_000;
const FIRST_PAUSE = 400;
const LONGEST_PAUSE = 15_000;
const TRIES_TO_READ = 4;

export const inApp = (): boolean => '__TAURI_INTERNALS__' in globalThis;

async function throughWindow(ask: string, has: string | null): Promise<string> {
  const { invoke } = await import('@tauri-apps/api/core');
  return invoke<string>('ask', { ask, has });
}

async function overHttp(ask: string, has: string | null, code: string | null = null): Promise<string> {
  const clock = new AbortController();
  const timer = setTimeout(() => clock.abort(), PATIENCE);
  try {
    const answer = await fetch('/ask', {
      method: 'POST',
      headers: {
        'content-type': 'application/json',
        ...(has === null ? {} : { 'solderlast-has': has }),
        ...(code === null ? {} : { 'solderlast-code': code }),
      },
      body: ask,
      credentials: 'same-origin',
      cache: 'no-store',
      redirect: 'error',
      signal: clock.signal,
    });
    if (answer.status === 401) {
      // This device is no longer let in. The same address says now what to do.
      location.reload();
      return await new Promise<never>(() => undefined);
    }
    // Too slow, too many, or something between us and the bench: as good as no answer.
    if (answer.status === 408 || (answer.status === 429 && code === null) || answer.status >= 502) throw new NotConnected();
    return await answer.text();
  } finally {
    clearTimeout(timer);
  }
}

let carrier: Carrier | null = null;

/** Sends everything by this carrier from now on: to a worker in the page that is a bench itself, and as the drawings' gallery and the tests do. */
export function carryBy(other: Carrier | null): void {
  carrier = other;
  forgetHeld();
}

/** Of which audition a question is answered with its page; nothing where that is another page. */
function auditionOf(question: Ask): string | null {
  if (question.ask === 'audition') return question.id;
  return 'entry' in question && 'audition' in question && typeof question.audition === 'string' ? question.audition : null;
}

async function carry(text: string, audition: string | null): Promise<Reply> {
  const road = carrier ?? (inApp() ? throughWindow : overHttp);
  const reply = unfolded(await road(text, audition === null ? null : heldName(audition)));
  // What it is different from is gone; in full, then. Whatever was written is not written again.
  return reply ?? opened(await road(text, audition === null ? null : ''));
}

/** The answer in this text. Text that is no answer of ours came from something else on the way. */
export function opened(text: string): Reply {
  const reply = unfolded(text);
  if (reply === null) throw new NotConnected();
  return reply;
}

/** The same; nothing where it says what is different from something that is not here. */
function unfolded(text: string): Reply | null {
  let answer: unknown;
  try {
    answer = JSON.parse(text);
  } catch {
    throw new NotConnected();
  }
  if (typeof answer === 'object' && answer !== null) {
    if ('ok' in answer) {
      keepFull(answer as InFull);
      return answer.ok as Reply;
    }
    if ('changed' in answer) return whole(answer as Different);
    if ('refused' in answer) {
      const { code, sentence, field } = answer.refused as Refusal;
      throw new Refused(code, sentence, field ?? null);
    }
  }
  throw new NotConnected();
}

let wakeUp: (() => void)[] = [];

function pause(milliseconds: number): Promise<void> {
  return new Promise((resolve) => {
    const timer = setTimeout(go, milliseconds);
    function go(): void {
      clearTimeout(timer);
      wakeUp = wakeUp.filter((one) => one !== go);
      resolve();
    }
    wakeUp.push(go);
  });
}

/** Ends every pause between attempts: the network is back, or a person wants to try now. */
export function tryNow(): void {
  for (const go of [...wakeUp]) go();
}

/** Asks again and again, with longer and longer pauses, `tries` times at most. */
async function persist(text: string, audition: string | null, tries: number, onLost?: () => void): Promise<Reply> {
  let wait = FIRST_PAUSE;
  for (let attempt = 1; ; attempt += 1) {
    try {
      const reply = await carry(text, audition);
      connection.lost = false;
      return reply;
    } catch (trouble) {
      if (trouble instanceof Refused) {
        connection.lost = false;
        throw trouble;
      }
      connection.lost = true;
      onLost?.();
      if (attempt >= tries) throw new NotConnected();
    }
    await pause(wait);
    wait = Math.min(wait * 2, LONGEST_PAUSE);
  }
}

function keepUnsent(texts: string[]): void {
  try {
    if (texts.length === 0) localStorage.removeItem(UNSENT);
    else localStorage.setItem(UNSENT, JSON.stringify(texts));
  } catch {
    // No room, or storage is switched off: the question still waits in this page.
  }
}

const keepOne = (text: string): void => keepUnsent([...textsKept(UNSENT).filter((one) => one !== text), text]);
const letGo = (text: string): void => {
  const waiting = textsKept(UNSENT);
  if (waiting.includes(text)) keepUnsent(waiting.filter((one) => one !== text));
};

// Writing goes one after the other, so that what was tapped first is written first.
let writing: Promise<unknown> = Promise.resolve();

function write(text: string, audition: string | null): Promise<Reply> {
  connection.waiting += 1;
  const turn = writing.then(async () => {
    try {
      return await persist(text, audition, Infinity, () => keepOne(text));
    } finally {
      letGo(text);
      connection.waiting -= 1;
    }
  });
  writing = turn.catch(() => undefined);
  return turn;
}

/**
 * Asks the bench, for an answer of this kind.
 *
 * Rejects with {@link Refused} when the bench says no, with {@link Unanswered} when what somebody typed is asked about first, and with {@link NotConnected} when a question that only reads gets
 * no answer after some attempts. A question that writes (it has an `entry`) waits until it is answered.
 */
export async function ask<Kind extends Reply['reply']>(question: Ask, kind: Kind): Promise<ReplyOf<Kind>> {
  const first = 'entry' in question ? answersFirst(question) : null;
  if (first !== null) await first;
  const text = JSON.stringify(question);
  const audition = auditionOf(question);
  return ofKind(await ('entry' in question ? write(text, audition) : persist(text, audition, TRIES_TO_READ)), kind);
}

/** One attempt, without a word about the connection: for what is asked while a person is typing. */
export async function askOnce<Kind extends Reply['reply']>(question: Ask, kind: Kind): Promise<ReplyOf<Kind>> {
  return ofKind(await carry(JSON.stringify(question), auditionOf(question)), kind);
}

/**
 * Asks, once, for something to be erased for good. A paired phone has to send the code that the computer shows, and is told so
 * by a refusal that names the field `code`.
 */
export async function askToErase<Kind extends Reply['reply']>(question: Ask, kind: Kind, code: string | null): Promise<ReplyOf<Kind>> {
  const text = JSON.stringify(question);
  if (code === null || carrier !== null || inApp()) return ofKind(await persist(text, null, TRIES_TO_READ), kind);
  // As typed; a header takes no other letters.
  const answer = overHttp(text, null, code.replace(/[^\x20-\x7e]/g, '?'));
  return ofKind(opened(await answer.catch(() => Promise.reject(new NotConnected()))), kind);
}

/** The contract names one kind of answer for each question; another comes only from a bench of another version. */
function ofKind<Kind extends Reply['reply']>(reply: Reply, kind: Kind): ReplyOf<Kind> {
  if (reply.reply !== kind) throw new OtherVersion();
  return reply as ReplyOf<Kind>;
}

/** Sends what an earlier page could not, oldest first. What is refused by now is said in `connection.trouble`. */
export async function sendWaiting(): Promise<void> {
  for (const text of textsKept(UNSENT)) {
    try {
      await write(text, null);
    } catch (trouble) {
      if (trouble instanceof Refused) connection.trouble = `Something typed earlier was not written: ${trouble.sentence}`;
    }
  }
}

/** The sentence for a person in whatever was thrown. */
export function sentenceOf(trouble: unknown): string {
  if (trouble instanceof Refused || trouble instanceof NotConnected || trouble instanceof OtherVersion || trouble instanceof Unanswered) return trouble.sentence;
  return 'Something went wrong in this page. Nothing that was written is lost. Try again.';
}

if (typeof window !== 'undefined') window.addEventListener('online', tryNow);

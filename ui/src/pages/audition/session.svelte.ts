// One audition as its pages hold it: the newest picture of it, what is being written, and what was refused.

import { tick } from 'svelte';
import { answered, showRefusal } from '../../answering';
import type { Ask, AuditionView, EntryLine, LastTime, LengthUnit, Length, Refusal, Step, StepView } from '../../contract';
import { Unanswered } from '../../asking';
import { newName } from '../../names';
import { chosen } from '../../preferences.svelte';
import { here } from '../../routes.svelte';
import { ask, askOnce, Refused, sentenceOf } from '../../transport';
import { Turns } from '../../turns.svelte';

type Without<Kind, Names extends string> = Kind extends unknown ? Omit<Kind, Names> : never;

/** An ask that writes about an audition, without the names that every one of them carries. */
export type Act = Without<Extract<Ask, { entry: string; audition: string }>, 'entry' | 'audition'>;

/** What parts that stand on several pages need of a session. */
export type Writes = Pick<Session, 'id' | 'busy' | 'error' | 'write'>;

/** A length in the person's unit. */
export const shownIn = (length: Length, unit: LengthUnit = chosen.now.unit): string => length[unit];

/** Steps whose verdict comes with the last answer, and was not in view before it. */
const LAST_TELLS: ReadonlySet<Step> = new Set<Step>(['meter', 'gaps']);

export class Session {
  readonly id: string;
  view = $state.raw<AuditionView | null>(null);
  /** It is not in the log yet: it begins with the first choice. */
  fresh = $state(false);
  trouble = $state<unknown>(null);
  /** What the step came to that a writing has just ended: it is shown until somebody goes on. */
  ended = $state.raw<{ at: Step | null; name: string; word: string; sentence: string } | null>(null);
  readonly #turns = new Turns();
  /** Counts the looks that came by themselves. */
  looks = $state(0);
  refusal = $state.raw<Pick<Refusal, 'sentence' | 'field'> & { code: string } | null>(null);
  /** No field of the page says why it was refused. */
  unplaced = $state(false);
  /** What was asked last. */
  asked = $state('');
  /** The line that was written last, to be struck out at once if it was a slip. */
  written = $state.raw<EntryLine | null>(null);

  /** What was answered last with the same guitar and rig, once it was asked for: offered again, and never assumed. */
  last = $state.raw<LastTime | null>(null);
  #lastAsked = false;

  constructor(id: string) {
    this.id = id;
  }

  /** Something is being written. No button waits for that: what is tapped now is written next. */
  get busy(): boolean {
    return this.#turns.under_way > 0;
  }

  async load(): Promise<void> {
    this.trouble = null;
    try {
      this.view = (await ask({ ask: 'audition', id: this.id }, 'audition')).audition;
      this.fresh = false;
    } catch (trouble) {
      if (trouble instanceof Refused && trouble.code === 'not_found') this.fresh = true;
      else this.trouble = trouble;
    }
  }

  /** Looks again while time runs on something. Never fails; the next look comes anyway. */
  async look(): Promise<void> {
    try {
      const { audition } = await askOnce({ ask: 'audition', id: this.id }, 'audition');
      if (!this.busy) this.view = audition;
    } catch {
      // What is shown stays; a write says when the bench can't be reached.
    }
    this.looks += 1;
  }

  /** Asks what was answered last time. Never fails: without an answer nothing is offered. */
  async askLast(): Promise<void> {
    if (this.#lastAsked) return;
    this.#lastAsked = true;
    try {
      this.last = (await askOnce({ ask: 'last_time', audition: this.fresh ? null : this.id }, 'last_time')).last;
    } catch {
      this.#lastAsked = false;
    }
  }

  step(step: Step): StepView | null {
    return this.view?.steps.find((one) => one.step === step) ?? null;
  }

  /** Why a field was not taken, if it was this one. */
  error(...fields: string[]): string | null {
    const { refusal } = this;
    return refusal !== null && refusal.field !== null && fields.includes(refusal.field) ? refusal.sentence : null;
  }

  /** A refusal that belongs to no field of the page. */
  get loose(): string | null {
    const { refusal } = this;
    return refusal !== null && (this.unplaced || refusal.field === null || refusal.code === 'held') ? refusal.sentence : null;
  }

  /** Writes something down. Answers whether it is written; a refusal is shown beside its field. */
  write(act: Act): Promise<boolean> {
    return this.#turns.take(act, () => answered(() => this.#write(act)));
  }

  async #write(act: Act): Promise<boolean> {
    const entry = newName();
    this.asked = act.ask;
    this.refusal = null;
    this.unplaced = false;
    try {
      const question = { ...act, entry, audition: this.id } as Extract<Ask, { audition: string }>;
      this.view = (await ask(question, 'audition')).audition;
      // Another choice was answered for another time.
      if (act.ask === 'choose') {
        this.last = null;
        this.#lastAsked = false;
      }
      this.fresh = false;
      this.written = this.view.written.find((one) => one.entry === entry) ?? null;
      return true;
    } catch (trouble) {
      if (trouble instanceof Unanswered) return false;
      if (trouble instanceof Refused) this.refusal = { code: trouble.code, sentence: trouble.sentence, field: trouble.field };
      else this.refusal = { code: '', sentence: sentenceOf(trouble), field: null };
      await tick();
      // What no field of the page says is said by itself.
      this.unplaced = typeof document !== 'undefined' && !showRefusal();
      await tick();
      if (this.unplaced) showRefusal();
      return false;
    }
  }

  /** Writes something down that may end a step, and goes on to the next one if it did. What it came to goes along; what is not good stays. */
  async writeAndGoOn(step: Step, act: Act): Promise<boolean> {
    const wrote = await this.write(act);
    if (wrote) this.goOnFrom(step);
    return wrote;
  }

  /** Goes on if this step is over. What it comes to by its last answer goes along where it is good, and is looked at first where not. */
  goOnFrom(step: Step): void {
    const ended = this.step(step);
    const verdict = ended?.status === 'done' && LAST_TELLS.has(step) ? ended.verdict : null;
    if (!this.over(step) || (verdict !== null && verdict.kind !== 'good')) return;
    this.goOn();
    if (verdict !== null) this.ended = { at: this.view?.next ?? null, name: ended?.name ?? '', word: verdict.word, sentence: verdict.sentence };
  }

  over(step: Step): boolean {
    const status = this.step(step)?.status;
    return status === 'done' || status === 'skipped';
  }

  /** Goes to the step that waits, or to the end of the audition. */
  goOn(): void {
    this.ended = null;
    const next = this.view?.next ?? null;
    here.go({ page: 'audition', id: this.id, step: next });
  }
}

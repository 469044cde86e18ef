// One permanent install as its page holds it: the newest picture of it, what is being written, and what was refused.

import { tick } from 'svelte';
import { answered, showRefusal } from '../answering';
import type { Ask, InstallStep, InstallView, EntryLine, IronAct, Refusal, SoundAct } from '../contract';
import { Unanswered } from '../asking';
import { newName } from '../names';
import type { Act } from '../pages/audition/session.svelte';
import { here } from '../routes.svelte';
import { ask, Refused, sentenceOf } from '../transport';
import { Turns } from '../turns.svelte';

type Without<Kind, Names extends string> = Kind extends unknown ? Omit<Kind, Names> : never;

/** An ask that writes about an install, without the names that every one of them carries. */
export type InstallWrite = Without<Extract<Ask, { entry: string; fit: string }>, 'entry' | 'fit'>;

/** What the parts that it shares with an audition write at the iron. */
const AT_IRON: ReadonlySet<string> = new Set<IronAct['do']>([
  'tick_off', 'tick_together', 'tell', 'acknowledge', 'override_hold', 'light_iron', 'iron_off',
]);

/** What they write about the sound. */
const AT_SOUND: ReadonlySet<string> = new Set<SoundAct['do']>(['tell_level', 'correct_listening']);

export class InstallSession {
  readonly id: string;
  view = $state.raw<InstallView | null>(null);
  trouble = $state<unknown>(null);
  readonly #turns = new Turns();
  refusal = $state.raw<Pick<Refusal, 'sentence' | 'field'> | null>(null);
  /** No field of the page says why it was refused. */
  unplaced = $state(false);
  /** What was asked last. */
  asked = $state('');
  /** What is done first on the page now: its button stands in the bar that stays in view. */
  main = $state.raw<{ name: string; missing: string | null; act: () => void } | null>(null);
  /** The line that was written last, to be struck out at once if it was a slip. */
  written = $state.raw<EntryLine | null>(null);

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
      this.view = (await ask({ ask: 'fit', id: this.id }, 'fit')).fit;
    } catch (trouble) {
      this.trouble = trouble;
    }
  }

  /** Why a field was not taken, if it was this one. */
  error(...fields: string[]): string | null {
    const field = this.refusal?.field?.replace(/^(act|plan)\./, '') ?? null;
    return field !== null && fields.includes(field) ? (this.refusal?.sentence ?? null) : null;
  }

  /** Writes something down, also what a part that it shares with an audition asks for at the iron. */
  write(act: Act | InstallWrite): Promise<boolean> {
    return this.#turns.take(act, () => answered(() => this.#write(act)));
  }

  async #write(act: Act | InstallWrite): Promise<boolean> {
    const entry = newName();
    this.asked = act.ask;
    this.refusal = null;
    this.unplaced = false;
    try {
      const { ask: does, ...rest } = act;
      const at = AT_IRON.has(does) ? 'at_fit_iron' : AT_SOUND.has(does) ? 'at_fit_sound' : null;
      const question = at === null ? act : { ask: at, act: { do: does, ...rest } };
      this.view = (await ask({ ...question, entry, fit: this.id } as Ask, 'fit')).fit;
      this.written = this.view.written.find((one) => one.entry === entry) ?? null;
      return true;
    } catch (trouble) {
      if (trouble instanceof Unanswered) return false;
      this.refusal = trouble instanceof Refused ? trouble : { sentence: sentenceOf(trouble), field: null };
      await tick();
      // What no field of the page says is said by itself.
      this.unplaced = typeof document !== 'undefined' && !showRefusal();
      await tick();
      if (this.unplaced) showRefusal();
      return false;
    }
  }

  /** Goes to the step that waits. */
  goOn(): void {
    here.go({ page: 'fit', id: this.id, step: this.view?.next ?? 'done' });
  }

  /** Passes a step and goes on. */
  async pass(step: InstallStep, why: string): Promise<boolean> {
    const wrote = await this.write({ ask: 'pass_fit_step', step, why });
    if (wrote) this.goOn();
    return wrote;
  }
}

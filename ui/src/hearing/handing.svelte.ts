// A recording on its way to the bench as a take of a pickup, from which something is to be told. What can't be handed over stays on this
// device and is offered to be sent again; what the bench has is kept there, whatever was found in it.

import type { Played } from '../contract';
import { newName } from '../names';
import { keepTake } from '../takes/takes';
import { Refused, sentenceOf } from '../transport';
import { throwAway } from './kept';
import type { Recorder } from './recorder.svelte';

type Last = NonNullable<Awaited<ReturnType<Recorder['last']>>>;

export class Handing {
  sending = $state(false);
  /** Why nothing came of it, and the field at fault. */
  refused = $state<{ sentence: string; field: string | null } | null>(null);
  /** What came of it. */
  kept = $state('');
  /** A recording that could not be handed over, with the name it has as a take however often it is sent. */
  waits = $state.raw<(Last & { take: string }) | null>(null);
  readonly #pickup: string;
  readonly #played: Played;
  readonly #tell: (take: string) => Promise<string>;

  /** `tell` asks what a take tells, and answers what is said of it. */
  constructor(pickup: string, played: Played, tell: (take: string) => Promise<string>) {
    this.#pickup = pickup;
    this.#played = played;
    this.#tell = tell;
  }

  /** What was said of the last one holds no longer. */
  begin(): void {
    this.refused = null;
    this.kept = '';
  }

  fail(trouble: unknown): void {
    this.refused = { sentence: sentenceOf(trouble), field: trouble instanceof Refused ? trouble.field : null };
  }

  /** A file that another program recorded, as it is chosen; answers whether one was. */
  async chosen({ currentTarget }: Event & { currentTarget: HTMLInputElement }): Promise<boolean> {
    const file = currentTarget.files?.[0];
    // The same one may be chosen again.
    currentTarget.value = '';
    if (file === undefined) return false;
    await this.#send(file, '', newName());
    return true;
  }

  /** What was recorded here. */
  async recording(last: Last): Promise<void> {
    this.waits = { ...last, take: newName() };
    await this.again();
  }

  /** The recording that waits, once more. */
  async again(): Promise<void> {
    const last = this.waits;
    if (last === null || !(await this.#send(last.file, last.kept.device, last.take))) return;
    this.waits = null;
    await throwAway(last.kept.id);
  }

  /** Answers whether it lies beside the log now. */
  async #send(file: File, device: string, take: string): Promise<boolean> {
    this.begin();
    this.sending = true;
    let handed = false;
    try {
      const about = { thing: 'pickup', id: this.#pickup } as const;
      await keepTake(about, take, { played: this.#played, through: null, mode: null, gain: '', load: '', cable: null, device: device.slice(0, 80) }, file);
      handed = true;
      this.kept = await this.#tell(take);
    } catch (trouble) {
      this.fail(trouble);
    } finally {
      this.sending = false;
    }
    return handed;
  }
}

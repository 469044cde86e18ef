// Sounds that go round at the same place, and are switched without a gap: all of them run all the time, and only how much of each is
// heard changes. So a switch takes no fetching and no starting, and every sound is where the one before it was.

import { knock } from '../knock';
import { inApp, NotConnected, opened } from '../transport';

/** How long a switch takes, in seconds: too short to be heard as a gap, too long to click. */
export const FADE = 0.014;
const STEPS = 32;
/** Sounds that have nothing to do with each other keep their power when the one goes down as the other comes up by these. */
const FALLS = Float32Array.from({ length: STEPS }, (_, at) => Math.cos((at / (STEPS - 1)) * (Math.PI / 2)));
const RISES = Float32Array.from({ length: STEPS }, (_, at) => Math.sin((at / (STEPS - 1)) * (Math.PI / 2)));
const PATIENCE = 60_000;

/** The bytes of a sound at this address of the bench; a refusal is thrown with its sentence. */
export async function soundAt(path: string): Promise<ArrayBuffer> {
  if (inApp()) {
    const { invoke } = await import('@tauri-apps/api/core');
    const bytes = await invoke<ArrayBuffer>('heard_sound', { path });
    if (new Uint8Array(bytes, 0, 1)[0] === 0x7b) opened(new TextDecoder().decode(bytes));
    return bytes;
  }
  let answer: Response;
  try {
    answer = await knock(path, { credentials: 'same-origin', cache: 'no-store', redirect: 'error', signal: AbortSignal.timeout(PATIENCE) });
  } catch {
    throw new NotConnected();
  }
  if (!answer.ok) {
    opened(await answer.text());
    throw new NotConnected();
  }
  return answer.arrayBuffer();
}

interface Voice {
  source: AudioBufferSourceNode;
  heard: GainNode;
}

/** Plays sounds that go round together. */
export class Player {
  playing = $state(false);
  /** Which is heard. */
  now = $state(0);
  ready = $state(false);

  #context: AudioContext | null = null;
  #buffers: AudioBuffer[] = [];
  #gains: number[] = [];
  #voices: Voice[] = [];
  #begun = $state(0);
  /** Until when the last switch goes on, in the context's time. */
  #until = 0;

  /** Takes sounds in place of those before; gains in decibels, none above 0. */
  async load(files: readonly ArrayBuffer[], gains: readonly number[]): Promise<void> {
    const goes = this.playing;
    this.stop();
    this.ready = false;
    // The shortest way to the loudspeaker that the device has.
    this.#context ??= new AudioContext({ latencyHint: 0 });
    const context = this.#context;
    this.#buffers = await Promise.all(files.map((file) => context.decodeAudioData(file.slice(0))));
    this.#gains = gains.map((gain) => 10 ** (Math.min(gain, 0) / 20));
    this.ready = true;
    if (this.now >= this.#buffers.length) this.now = 0;
    if (goes) await this.play();
  }

  /** Begins at the beginning, with the one that was heard last. */
  async play(): Promise<void> {
    const context = this.#context;
    if (context === null || this.#buffers.length === 0 || this.playing) return;
    // Seen at once: a browser may take its time, or want a tap first.
    this.playing = true;
    await context.resume();
    if (!this.playing || this.#voices.length > 0) return;
    const start = context.currentTime + 0.03;
    this.#voices = this.#buffers.map((buffer, index) => {
      const source = new AudioBufferSourceNode(context, { buffer, loop: true });
      const matched = new GainNode(context, { gain: this.#gains[index] ?? 1 });
      const heard = new GainNode(context, { gain: index === this.now ? 1 : 0 });
      source.connect(matched).connect(heard).connect(context.destination);
      source.start(start);
      return { source, heard };
    });
    this.#begun = start;
    this.#until = 0;
  }

  /** How far it got, from 0 to 1, and how long once round takes, in seconds; nothing before it begins. */
  round(): { at: number; seconds: number } | null {
    const [context, buffer] = [this.#context, this.#buffers[0]];
    if (this.#begun === 0 || context === null || buffer === undefined) return null;
    return { at: (Math.max(context.currentTime - this.#begun, 0) % buffer.duration) / buffer.duration, seconds: buffer.duration };
  }

  /** Hears another one from the same place on. */
  hear(index: number): void {
    if (index === this.now || index < 0 || index >= this.#buffers.length) return;
    const [before, after, context] = [this.#voices[this.now], this.#voices[index], this.#context];
    this.now = index;
    if (!this.playing || before === undefined || after === undefined || context === null) return;
    // A switch that is under way is heard to its end first: two curves can't be followed at once.
    const from = Math.max(context.currentTime + 0.002, this.#until);
    before.heard.gain.setValueCurveAtTime(FALLS, from, FADE);
    after.heard.gain.setValueCurveAtTime(RISES, from, FADE);
    this.#until = from + FADE + 0.001;
  }

  stop(): void {
    const context = this.#context;
    const voices = this.#voices;
    this.#voices = [];
    this.playing = false;
    this.#begun = 0;
    if (context === null || voices.length === 0) return;
    const from = Math.max(context.currentTime + 0.002, this.#until);
    for (const { source, heard } of voices) {
      heard.gain.setTargetAtTime(0, from, FADE / 4);
      source.stop(from + 2 * FADE);
    }
  }

  /** Lets go of the sound card. */
  close(): void {
    this.stop();
    const context = this.#context;
    this.#context = null;
    setTimeout(() => void context?.close().catch(() => undefined), 100);
  }
}

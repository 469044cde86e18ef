// Sounds that go round at the same place, and are switched without a gap: all of them run all the time, and only how much of each is
// heard changes. So a switch takes no fetching and no starting, and every sound is where the one before it was.

import { knock } from '../knock';
import { inApp, NotConnected, opened } from '../transport';
import worklet from './switch.worklet.js?url';

/** How long a switch takes, in seconds: too short to be heard as a gap, too long to click. */
export const FADE = 0.014;
const STEPS = 32;
/** Sounds that have nothing to do with each other keep their power when the one goes down as the other comes up by these. */
const FALLS = Float32Array.from({ length: STEPS }, (_, at) => Math.cos((at / (STEPS - 1)) * (Math.PI / 2)));
const RISES = Float32Array.from({ length: STEPS }, (_, at) => Math.sin((at / (STEPS - 1)) * (Math.PI / 2)));
const PATIENCE = 60_000;
/** How late a busy page may be, in seconds, where it has to say itself when a switch begins: later than that would click. */
const LATE = 0.02;

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
  matched: GainNode;
}

/** Lets one of several sounds be heard; -1 is none. */
interface Switch {
  to(index: number): void;
}

/** Switches beside the page, where the browser lets it: not over plain HTTP. */
async function prepared(context: AudioContext): Promise<boolean> {
  if (!('audioWorklet' in context)) return false;
  return context.audioWorklet.addModule(worklet).then(
    () => true,
    () => false,
  );
}

function besideThePage(context: AudioContext, voices: readonly Voice[], now: number): Switch {
  const node = new AudioWorkletNode(context, 'switch', {
    numberOfInputs: voices.length,
    outputChannelCount: [1],
    channelCount: 1,
    channelCountMode: 'explicit',
    processorOptions: { now, fade: FADE },
  });
  voices.forEach(({ matched }, index) => matched.connect(node, 0, index));
  node.connect(context.destination);
  return { to: (index) => node.port.postMessage(index) };
}

function byGains(context: AudioContext, voices: readonly Voice[], now: number): Switch {
  const heard = voices.map(({ matched }, index) => {
    const gain = new GainNode(context, { gain: index === now ? 1 : 0 });
    matched.connect(gain).connect(context.destination);
    return gain.gain;
  });
  let [before, until] = [now, 0];
  return {
    to(index) {
      // A switch that is under way is heard to its end first: two curves can't be followed at once.
      const from = Math.max(context.currentTime + LATE, until);
      heard[before]?.setValueCurveAtTime(FALLS, from, FADE);
      heard[index]?.setValueCurveAtTime(RISES, from, FADE);
      [before, until] = [index, from + FADE + 0.001];
    },
  };
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
  #switch: Switch | null = null;
  #beside = false;

  /** Takes sounds in place of those before; gains in decibels, none above 0. */
  async load(files: readonly ArrayBuffer[], gains: readonly number[]): Promise<void> {
    const goes = this.playing;
    this.stop();
    this.ready = false;
    // The shortest way to the loudspeaker that the device has.
    const context = (this.#context ??= new AudioContext({ latencyHint: 0 }));
    this.#beside ||= await prepared(context);
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
      source.connect(matched);
      source.start(start);
      return { source, matched };
    });
    this.#switch = (this.#beside ? besideThePage : byGains)(context, this.#voices, this.now);
    this.#begun = start;
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
    this.now = index;
    if (this.playing) this.#switch?.to(index);
  }

  stop(): void {
    const context = this.#context;
    const voices = this.#voices;
    this.#voices = [];
    this.playing = false;
    this.#begun = 0;
    if (context === null || voices.length === 0) return;
    this.#switch?.to(-1);
    this.#switch = null;
    for (const { source } of voices) source.stop(context.currentTime + LATE + 3 * FADE);
  }

  /** Lets go of the sound card. */
  close(): void {
    this.stop();
    const context = this.#context;
    this.#context = null;
    this.#beside = false;
    setTimeout(() => void context?.close().catch(() => undefined), 100);
  }
}

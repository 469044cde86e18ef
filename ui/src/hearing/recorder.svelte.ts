// Recording in the page: what a microphone or an interface gives, as it comes. Echo cancelling, noise suppression and gain control
// are switched off, as each of them changes what a pickup sounds like.

import worklet from './recorder.worklet.js?url';
import { fileOf, Keeping, type Unsent } from './kept';

export type Doing = 'nothing' | 'asking' | 'ready' | 'counting' | 'recording' | 'ending';

/** The longest take, in seconds. */
const LONGEST = 600;
const FILE_STAYS = 'You can still choose a file that another program recorded.';

/** Why nothing can be recorded in this page at all; nothing where it may be. */
export function cannot(): string | null {
  if (!isSecureContext) {
    return `A browser gives no microphone to a page that comes over an open network. Record on the computer itself, in the window. ${FILE_STAYS}`;
  }
  if (navigator.mediaDevices?.getUserMedia === undefined || typeof AudioWorkletNode === 'undefined' || typeof indexedDB === 'undefined') {
    return `This browser can't record. ${FILE_STAYS}`;
  }
  return null;
}

function sentenceFor(trouble: unknown): string {
  const name = trouble instanceof DOMException ? trouble.name : '';
  switch (name) {
    case 'NotAllowedError':
    case 'SecurityError':
      return `The microphone was refused. Allow it for this page in the browser's settings, then try again. ${FILE_STAYS}`;
    case 'NotFoundError':
    case 'OverconstrainedError':
      return `No microphone or interface was found. Plug it in, then try again. ${FILE_STAYS}`;
    case 'NotReadableError':
    case 'AbortError':
      return `The device could not be opened. Another program may hold it: close that one, then try again. ${FILE_STAYS}`;
    default:
      return `The device could not be used. ${FILE_STAYS}`;
  }
}

/** One recording after the other, from one device. */
export class Recorder {
  doing = $state<Doing>('nothing');
  /** What went wrong, in a sentence. */
  trouble = $state<string | null>(null);
  /** A word about the device, such as that it turns its gain by itself. */
  word = $state<string | null>(null);
  devices = $state.raw<{ id: string; name: string }[]>([]);
  device = $state('');
  rate = $state(0);
  /** The highest peak of the last moment, in decibels of full scale. */
  level = $state(-90);
  /** Whether it was clipped since this recording began. */
  clipped = $state(false);
  count = $state(0);
  seconds = $state(0);

  #stream: MediaStream | null = null;
  #context: AudioContext | null = null;
  #node: AudioWorkletNode | null = null;
  #keeping: Keeping | null = null;
  #kept: Unsent | null = null;
  #ended: (() => void) | null = null;
  #wake: (() => void) | null = null;

  constructor(private readonly of: string) {}

  /** Opens the device, so that its level is seen before anything is recorded. */
  async open(id = ''): Promise<void> {
    this.trouble = this.word = null;
    const why = cannot();
    if (why !== null) {
      this.trouble = why;
      return;
    }
    this.doing = 'asking';
    this.close();
    try {
      this.#stream = await navigator.mediaDevices.getUserMedia({
        audio: {
          ...(id === '' ? {} : { deviceId: { exact: id } }),
          echoCancellation: false,
          noiseSuppression: false,
          autoGainControl: false,
          channelCount: { ideal: 2 },
        },
      });
      const track = this.#stream.getAudioTracks()[0];
      if (track === undefined) throw new DOMException('no track', 'NotFoundError');
      const set = track.getSettings();
      const changed = [set.echoCancellation === true ? 'echo cancelling' : '', set.noiseSuppression === true ? 'noise suppression' : '', set.autoGainControl === true ? 'gain control' : ''].filter((one) => one !== '');
      if (changed.length > 0) this.word = `This device can't switch off its ${changed.join(' and ')}. Don't compare levels or treble by it.`;
      this.#context = new AudioContext(set.sampleRate === undefined ? {} : { sampleRate: set.sampleRate });
      await this.#context.audioWorklet.addModule(worklet);
      const node = new AudioWorkletNode(this.#context, 'recorder', { numberOfInputs: 1, numberOfOutputs: 0 });
      node.port.onmessage = ({ data }) => this.#heard(data);
      this.#context.createMediaStreamSource(this.#stream).connect(node);
      await this.#context.resume();
      this.#node = node;
      this.rate = this.#context.sampleRate;
      track.onended = () => void this.#unplugged();
      const all = await navigator.mediaDevices.enumerateDevices();
      this.devices = all.filter(({ kind }) => kind === 'audioinput').map(({ deviceId, label }) => ({ id: deviceId, name: label }));
      this.device = set.deviceId ?? id;
      this.doing = 'ready';
    } catch (trouble) {
      this.close();
      this.doing = 'nothing';
      this.trouble = sentenceFor(trouble);
    }
  }

  /** The device's own name. */
  get name(): string {
    return this.devices.find(({ id }) => id === this.device)?.name ?? '';
  }

  #heard(data: { peak?: number; clipped?: number; samples?: Float32Array<ArrayBuffer>; channels?: number; ended?: true }): void {
    if (data.peak !== undefined) {
      this.level = Math.max(20 * Math.log10(Math.max(data.peak, 1e-5)), -90);
      if ((data.clipped ?? 0) > 0 && this.doing === 'recording') this.clipped = true;
    }
    if (data.samples !== undefined && data.channels !== undefined && this.#keeping !== null && this.#kept !== null) {
      this.#kept.channels = data.channels;
      this.seconds += data.samples.length / data.channels / this.rate;
      this.#keeping.part(data.samples, data.channels);
      if (this.#keeping.failed) {
        this.trouble = 'There is no room on this device for more. What was recorded by then is kept.';
        void this.stop();
      } else if (this.seconds >= LONGEST && this.doing === 'recording') {
        this.word = 'Ten minutes are the most of one take. It was ended.';
        void this.stop();
      }
    }
    if (data.ended === true) this.#ended?.();
  }

  /** Counts in without a sound, then records. Answers once it records. */
  async start(): Promise<void> {
    if (this.doing !== 'ready' || this.#node === null) return;
    this.trouble = null;
    this.clipped = false;
    this.seconds = 0;
    this.doing = 'counting';
    for (this.count = 3; this.count > 0 && this.doing === 'counting'; this.count -= 1) {
      await new Promise((resolve) => setTimeout(resolve, 700));
    }
    if (this.doing !== 'counting' || this.#node === null) return;
    this.#kept = { id: '', of: this.of, begun: Date.now(), rate: this.rate, channels: 1, device: this.name };
    this.#keeping = new Keeping({ of: this.of, rate: this.rate, device: this.name });
    this.#kept.id = this.#keeping.id;
    this.doing = 'recording';
    this.#node.port.postMessage('keep');
  }

  /** Ends the recording. Answers what is kept of it. */
  async stop(): Promise<void> {
    if (this.doing === 'counting') this.doing = 'ready';
    if (this.doing !== 'recording') return;
    this.doing = 'ending';
    const ended = new Promise<void>((resolve) => {
      this.#ended = resolve;
      // A device that is gone says no more.
      setTimeout(resolve, 1500);
    });
    this.#node?.port.postMessage('end');
    await ended;
    await this.#keeping?.end();
    this.#keeping = null;
    this.doing = this.#node === null ? 'nothing' : 'ready';
    this.#wake?.();
  }

  /** Waits until a recording that goes on has ended; the file of what was recorded last. */
  async last(): Promise<{ kept: Unsent; file: File; seconds: number } | null> {
    if (this.#keeping !== null) await new Promise<void>((resolve) => (this.#wake = resolve));
    const kept = this.#kept;
    const found = kept === null ? null : await fileOf(kept);
    return kept === null || found === null ? null : { kept, ...found };
  }

  async #unplugged(): Promise<void> {
    const recorded = this.doing === 'recording';
    if (recorded) await this.stop();
    this.close();
    this.doing = 'nothing';
    this.trouble = recorded
      ? 'The device was unplugged. What was recorded by then is kept: use it, or throw it away.'
      : `The device was unplugged. Plug it in, then try again. ${FILE_STAYS}`;
  }

  /** Lets the device go: nothing is heard any more until it is opened again. */
  letGo(): void {
    this.close();
    this.doing = 'nothing';
  }

  /** Closes what an open device is heard by. */
  close(): void {
    this.#stream?.getTracks().forEach((track) => {
      track.onended = null;
      track.stop();
    });
    void this.#context?.close().catch(() => undefined);
    this.#stream = this.#context = this.#node = null;
    this.level = -90;
  }
}

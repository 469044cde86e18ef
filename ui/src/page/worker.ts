// The bench, in a worker of its own: it answers one question after the other, from files that lie in this browser.

import { type Given, type GivesOut, isRefusal, lying, PART } from './lying';

/** What a question to the worker is, and what it comes to. */
export type Wanted =
  | { kind: 'start' }
  | { kind: 'ask'; ask: string; has: string | null }
  | { kind: 'get'; path: string }
  | { kind: 'send'; path: string; file: Blob };

export interface Numbered {
  number: number;
  wanted: Wanted;
}

export type Word = { number: number; sent: number } | { number: number; given: Given } | { number: number; failed: string };

interface Bench extends GivesOut {
  refill(beside: number): Promise<void>;
  open(): string;
  rest(): void;
  answer(ask: string, has?: string): string;
  take_photo(about: string, entry: string, look: string, file: Uint8Array): string;
  take_part(first: boolean, part: Uint8Array): string;
  take_end(thing: string, id: string, entry: string, recorded: string): string;
  take_off(): void;
  bundle_part(carry: string, first: boolean, part: Uint8Array): string;
  bundle_end(): string;
  bundle_off(carry: string): void;
}

interface Core {
  default(options: { module_or_path: string }): Promise<unknown>;
  PageBench: { prepare(): Promise<Bench> };
}

/** When nobody has asked for so long, in milliseconds, there is time to check and copy the log. */
const REST = 10_000;
/** The most files that a bundle is taken to bring at once. */
const MOST_FILES = 20_000;

let bench: Bench | null = null;
/** How many files the bundle that came last may bring. */
let coming = 0;

const json = (body: string): Given => ({ status: 200, type: 'application/json', body });

/** Where this file lies; the core lies beside its folder. */
const HERE = import.meta.url;

/** Needs no file of the bench, so it begins before this page is known to have it. */
async function load(): Promise<Core> {
  const core = (await import(/* @vite-ignore */ new URL('../core/solderlast_page.js', HERE).href)) as Core;
  await core.default({ module_or_path: new URL('../core/solderlast_page_bg.wasm', HERE).href });
  return core;
}

const loaded = load();
// Told to who asks for the start.
loaded.catch(() => undefined);

async function start(): Promise<Given> {
  // Some browsers have files of a page, and none that is written at once.
  if (typeof FileSystemFileHandle === 'undefined' || !('createSyncAccessHandle' in FileSystemFileHandle.prototype)) {
    throw new DOMException('no files that are written at once', 'NotSupportedError');
  }
  bench = await (await loaded).PageBench.prepare();
  return json(bench.open());
}

function opened(): Bench {
  if (bench === null) throw new Error('The bench is not there yet.');
  return bench;
}

/** How many files a bundle brings: what its last lines say. */
async function filesIn(bundle: Blob): Promise<number> {
  const end = new DataView(await bundle.slice(Math.max(0, bundle.size - 65_557)).arrayBuffer());
  for (let at = end.byteLength - 22; at >= 0; at -= 1) {
    if (end.getUint32(at, true) === 0x06054b50) return Math.min(end.getUint16(at + 10, true), MOST_FILES);
  }
  return 0;
}

async function send(number: number, path: string, file: Blob): Promise<Given> {
  const here = opened();
  const { pathname, searchParams } = new URL(path, 'https://bench.invalid');
  const [, what, ...words] = pathname.split('/');
  const [one = '', two = '', three = ''] = words;
  if (what === 'photo') return json(here.take_photo(one, two, three, new Uint8Array(await file.arrayBuffer())));
  if (what === 'bundle') coming = await filesIn(file);
  for (let from = 0; from === 0 || from < file.size; from += PART) {
    if (calledOff.delete(number)) {
      if (what === 'take') here.take_off();
      else here.bundle_off(one);
      throw new Error('It was called off.');
    }
    const part = new Uint8Array(await file.slice(from, from + PART).arrayBuffer());
    const answer = what === 'take' ? here.take_part(from === 0, part) : here.bundle_part(one, from === 0, part);
    if (isRefusal(answer)) return json(answer);
    say({ number, sent: Math.min(100, Math.floor((100 * (from + PART)) / Math.max(file.size, 1))) });
  }
  await here.refill(coming);
  return json(what === 'take' ? here.take_end(one, two, three, searchParams.get('recorded') ?? '') : here.bundle_end());
}

async function answer(number: number, wanted: Wanted): Promise<Given> {
  if (wanted.kind === 'start') return start();
  await opened().refill(coming);
  // A log that could not be opened is tried again: whoever asks hears why.
  const refusal = opened().open();
  if (refusal !== '') return json(refusal);
  switch (wanted.kind) {
    case 'ask':
      return json(opened().answer(wanted.ask, wanted.has ?? undefined));
    case 'send':
      return send(number, wanted.path, wanted.file);
    case 'get':
      return lying(opened(), wanted.path);
  }
}

const say = (word: Word): void => postMessage(word);
const calledOff = new Set<number>();
let turn: Promise<unknown> = Promise.resolve();
let resting: ReturnType<typeof setTimeout> | undefined;

onmessage = ({ data }: MessageEvent<Numbered | { off: number }>) => {
  if ('off' in data) {
    calledOff.add(data.off);
    return;
  }
  const { number, wanted } = data;
  turn = turn.then(async () => {
    clearTimeout(resting);
    try {
      say({ number, given: await answer(number, wanted) });
    } catch (trouble) {
      say({ number, failed: trouble instanceof Error ? `${trouble.name}: ${trouble.message}` : String(trouble) });
    }
    resting = setTimeout(() => bench?.rest(), REST);
  });
};

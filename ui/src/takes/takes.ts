// Takes go to the bench as files and come back as sound: over HTTP, or through the window of the app.

import type { About, RecordedForm } from '../contract';
import { inApp, NotConnected, opened, type ReplyOf } from '../transport';

/** What goes through the window at a time, in bytes. */
const PART = 4 * 1024 * 1024;

/** Hears how much of a file has gone, in hundredths. */
export type OnSent = (hundredths: number) => void;

const OCTETS = 'application/octet-stream';

/** Sends the file of a take to be kept. The same `entry` may be sent again after a dropped connection: it is written once. */
export async function keepTake(
  about: About,
  entry: string,
  recorded: RecordedForm,
  file: Blob,
  onsent: OnSent = () => undefined,
  signal: AbortSignal = new AbortController().signal,
): Promise<ReplyOf<'takes'>> {
  const road = inApp() ? throughWindow : overHttp;
  return opened(await road(about, entry, encodeURIComponent(JSON.stringify(recorded)), file, onsent, signal)) as ReplyOf<'takes'>;
}

function overHttp(about: About, entry: string, recorded: string, file: Blob, onsent: OnSent, signal: AbortSignal): Promise<string> {
  return new Promise((resolve, reject) => {
    // Unlike `fetch`, it says how much has gone.
    const request = new XMLHttpRequest();
    request.open('POST', `/take/${about.thing}/${about.id}/${entry}?recorded=${recorded}`);
    request.setRequestHeader('content-type', OCTETS);
    request.upload.onprogress = ({ loaded, total }) => onsent(total === 0 ? 0 : Math.floor((100 * loaded) / total));
    request.onload = () => resolve(request.responseText);
    request.onerror = request.onabort = () => reject(new NotConnected());
    signal.addEventListener('abort', () => request.abort());
    request.send(file);
  });
}

async function throughWindow(
  about: About,
  entry: string,
  recorded: string,
  file: Blob,
  onsent: OnSent,
  signal: AbortSignal,
): Promise<string> {
  const { invoke } = await import('@tauri-apps/api/core');
  const send = (part: string, bytes: Uint8Array): Promise<string> =>
    invoke<string>('send_take', bytes, { headers: { thing: about.thing, id: about.id, entry, recorded, part } });
  let from = 0;
  do {
    if (signal.aborted) {
      await send('none', new Uint8Array());
      throw new NotConnected();
    }
    const bytes = new Uint8Array(await file.slice(from, from + PART).arrayBuffer());
    const answer = await send(from === 0 ? 'first' : 'next', bytes);
    // A refusal is for whoever reads the answer.
    if (answer.startsWith('{"refused"')) return answer;
    from += PART;
    onsent(Math.min(100, Math.floor((100 * from) / Math.max(file.size, 1))));
  } while (from < file.size);
  return send('end', new Uint8Array());
}

/** Where a take can be played from. Give it back by `letGo` where it is no longer played. */
export async function soundOf(take: string): Promise<string> {
  if (!inApp()) return `/take/${take}`;
  return URL.createObjectURL(new Blob([await soundBytes(take)], { type: 'audio/flac' }));
}

/** Lets go of what was given to be played from. */
export function letGo(source: string): void {
  if (source.startsWith('blob:')) URL.revokeObjectURL(source);
}

/** The file of a take, a FLAC. */
export async function soundBytes(take: string): Promise<ArrayBuffer> {
  if (inApp()) {
    const { invoke } = await import('@tauri-apps/api/core');
    const bytes = await invoke<ArrayBuffer>('take_sound', { name: take });
    if (bytes.byteLength === 0) throw new NotConnected();
    return bytes;
  }
  try {
    const answer = await fetch(`/take/${take}`, { credentials: 'same-origin', redirect: 'error' });
    if (answer.ok) return await answer.arrayBuffer();
  } catch {
    // Said below.
  }
  throw new NotConnected();
}

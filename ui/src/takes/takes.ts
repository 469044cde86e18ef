// Takes go to the bench as files and come back as sound: over HTTP, or through the window of the app.

import type { About, RecordedForm } from '../contract';
import { type OnSent, sendFile } from '../sending';
import { byAddress, knock } from '../knock';
import { inApp, NotConnected, opened, type ReplyOf } from '../transport';

/** Sends the file of a take to be kept. The same `entry` may be sent again after a dropped connection: it is written once. */
export async function keepTake(
  about: About,
  entry: string,
  recorded: RecordedForm,
  file: Blob,
  onsent: OnSent = () => undefined,
  signal: AbortSignal = new AbortController().signal,
): Promise<ReplyOf<'takes'>> {
  const how = encodeURIComponent(JSON.stringify(recorded));
  const road = {
    address: `/take/${about.thing}/${about.id}/${entry}?recorded=${how}`,
    type: 'application/octet-stream',
    command: 'send_take',
    headers: { thing: about.thing, id: about.id, entry, recorded: how },
    calledOff: 'none',
  };
  return opened(await sendFile(road, file, onsent, signal)) as ReplyOf<'takes'>;
}

/** Where a take can be played from. Give it back by `letGo` where it is no longer played. */
export async function soundOf(take: string): Promise<string> {
  if (byAddress()) return `/take/${take}`;
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
    const answer = await knock(`/take/${take}`, { credentials: 'same-origin', redirect: 'error' });
    if (answer.ok) return await answer.arrayBuffer();
  } catch {
    // Said below.
  }
  throw new NotConnected();
}

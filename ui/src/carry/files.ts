// Bundles and tables go to the bench and come back as files: over HTTP, or through the window of the app.

import type { Find } from '../contract';
import { inApp, NotConnected, opened, type ReplyOf } from '../transport';

/** What goes through the window at a time, in bytes. */
const PART = 4 * 1024 * 1024;
/** The heaviest bundle that is held in this page to be shared, in bytes. */
const HEAVIEST_TO_SHARE = 50_000_000;

export const bundleAddress = (carry: string): string => `/bundle/${carry}`;

export function tableAddress(table: 'readings' | 'notes', find: Find): string {
  return `/table/${table}?find=${encodeURIComponent(JSON.stringify(find))}`;
}

/** Sends a bundle; `onsent` hears how much of it has gone, in hundredths. */
export async function sendBundle(
  carry: string,
  file: File,
  onsent: (hundredths: number) => void,
  signal: AbortSignal,
): Promise<ReplyOf<'carry'>> {
  return opened(await (inApp() ? throughWindow : overHttp)(carry, file, onsent, signal)) as ReplyOf<'carry'>;
}

function overHttp(carry: string, file: File, onsent: (hundredths: number) => void, signal: AbortSignal): Promise<string> {
  return new Promise((resolve, reject) => {
    // Unlike `fetch`, it says how much has gone.
    const request = new XMLHttpRequest();
    request.open('POST', bundleAddress(carry));
    request.setRequestHeader('content-type', 'application/zip');
    request.upload.onprogress = ({ loaded, total }) => onsent(total === 0 ? 0 : Math.floor((100 * loaded) / total));
    request.onload = () => resolve(request.responseText);
    request.onerror = request.onabort = () => reject(new NotConnected());
    signal.addEventListener('abort', () => request.abort());
    request.send(file);
  });
}

async function throughWindow(
  carry: string,
  file: File,
  onsent: (hundredths: number) => void,
  signal: AbortSignal,
): Promise<string> {
  const { invoke } = await import('@tauri-apps/api/core');
  const send = (part: string, bytes: Uint8Array): Promise<string> =>
    invoke<string>('send_bundle', bytes, { headers: { carry, part } });
  let from = 0;
  do {
    if (signal.aborted) throw new NotConnected();
    const bytes = new Uint8Array(await file.slice(from, from + PART).arrayBuffer());
    const answer = await send(from === 0 ? 'first' : 'next', bytes);
    // A refusal is for whoever reads the answer.
    if (answer.startsWith('{"refused"')) return answer;
    from += PART;
    onsent(Math.min(100, Math.floor((100 * from) / Math.max(file.size, 1))));
  } while (from < file.size);
  return send('end', new Uint8Array());
}

/** Keeps the packed bundle in the folder for downloads, in the app; says where. */
export async function keepBundle(carry: string): Promise<string> {
  const { invoke } = await import('@tauri-apps/api/core');
  return (opened(await invoke<string>('keep_bundle', { carry })) as ReplyOf<'done'>).sentence;
}

/** Keeps a table in the folder for downloads, in the app; says where. */
export async function keepTable(table: string, find: Find): Promise<string> {
  const { invoke } = await import('@tauri-apps/api/core');
  return (opened(await invoke<string>('keep_table', { table, find: JSON.stringify(find) })) as ReplyOf<'done'>).sentence;
}

const asFile = (parts: BlobPart[], name: string): File => new File(parts, name, { type: 'application/zip' });

/** Whether this device has a way to share a file like this, and holds it without trouble. */
export function canShare(name: string, bytes: number): boolean {
  if (inApp() || bytes > HEAVIEST_TO_SHARE) return false;
  try {
    return navigator.canShare?.({ files: [asFile([], name)] }) ?? false;
  } catch {
    return false;
  }
}

/** Fetches the packed bundle into this page, to be shared. */
export async function fetched(carry: string, name: string): Promise<File> {
  try {
    const answer = await fetch(bundleAddress(carry), { credentials: 'same-origin', cache: 'no-store', redirect: 'error' });
    if (answer.ok) return asFile([await answer.blob()], name);
  } catch {
    // Said below.
  }
  throw new NotConnected();
}

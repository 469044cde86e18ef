// Bundles and tables go to the bench and come back as files: over HTTP, or through the window of the app.

import type { Find } from '../contract';
import { type OnSent, sendFile } from '../sending';
import { knock } from '../knock';
import { inApp, NotConnected, opened, type ReplyOf } from '../transport';

/** The heaviest bundle that is held in this page to be shared, in bytes. */
const HEAVIEST_TO_SHARE = 50_000_000;

export const bundleAddress = (carry: string): string => `/bundle/${carry}`;

export function tableAddress(table: 'readings' | 'notes' | 'measured', find: Find): string {
  return `/table/${table}?find=${encodeURIComponent(JSON.stringify(find))}`;
}

/** Sends a bundle; `onsent` hears how much of it has gone, in hundredths. */
export async function sendBundle(
  carry: string,
  file: File,
  onsent: OnSent,
  signal: AbortSignal,
): Promise<ReplyOf<'carry'>> {
  const road = { address: bundleAddress(carry), type: 'application/zip', command: 'send_bundle', headers: { carry } };
  return opened(await sendFile(road, file, onsent, signal)) as ReplyOf<'carry'>;
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
    const answer = await knock(bundleAddress(carry), { credentials: 'same-origin', cache: 'no-store', redirect: 'error' });
    if (answer.ok) return asFile([await answer.blob()], name);
  } catch {
    // Said below.
  }
  throw new NotConnected();
}

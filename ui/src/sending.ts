// Files go to the bench part after part: over HTTP, through the window of the app, or to a worker. Both answer with text for `opened`.

import { besideAddresses, knock } from './knock';
import { inApp, NotConnected } from './transport';

/** Where a file lies once it is kept, in a sentence: a page with no computer beside it is the bench itself. */
export const BESIDE_THE_LOG = import.meta.env.MODE === 'page' ? 'on this phone' : 'beside the log on the bench';

/** What goes through the window at a time, in bytes. */
const PART = 4 * 1024 * 1024;

/** Hears how much of a file has gone, in hundredths. */
export type OnSent = (hundredths: number) => void;

/** Where a file goes: its address and type over HTTP, its command and headers in the window. */
export interface Road {
  address: string;
  type: string;
  command: string;
  headers: Record<string, string>;
  /** What the window is told when it is called off, where it has to be. */
  calledOff?: string;
}

/** Sends a file, and gives the answer as text. Called off by `signal`, it throws as if there were no connection. */
export function sendFile(road: Road, file: Blob, onsent: OnSent, signal: AbortSignal): Promise<string> {
  return (besideAddresses() ? toWorker : inApp() ? throughWindow : overHttp)(road, file, onsent, signal);
}

async function toWorker({ address }: Road, file: Blob, onsent: OnSent, signal: AbortSignal): Promise<string> {
  const answer = await knock(address, { method: 'POST', body: file, signal }, onsent).catch(() => Promise.reject(new NotConnected()));
  return answer.text();
}

function overHttp({ address, type }: Road, file: Blob, onsent: OnSent, signal: AbortSignal): Promise<string> {
  return new Promise((resolve, reject) => {
    // Unlike `fetch`, it says how much has gone.
    const request = new XMLHttpRequest();
    request.open('POST', address);
    request.setRequestHeader('content-type', type);
    request.upload.onprogress = ({ loaded, total }) => onsent(total === 0 ? 0 : Math.floor((100 * loaded) / total));
    request.onload = () => resolve(request.responseText);
    request.onerror = request.onabort = () => reject(new NotConnected());
    signal.addEventListener('abort', () => request.abort());
    request.send(file);
  });
}

async function throughWindow(road: Road, file: Blob, onsent: OnSent, signal: AbortSignal): Promise<string> {
  const { invoke } = await import('@tauri-apps/api/core');
  const send = (part: string, bytes: Uint8Array): Promise<string> =>
    invoke<string>(road.command, bytes, { headers: { ...road.headers, part } });
  let from = 0;
  do {
    if (signal.aborted) {
      if (road.calledOff !== undefined) await send(road.calledOff, new Uint8Array());
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

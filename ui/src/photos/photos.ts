// Photos go to the bench as files and come back as pictures: over HTTP, or through the window of the app.

import type { PhotoKind, Reply } from '../contract';
import { byAddress, knock } from '../knock';
import { inApp, NotConnected, opened } from '../transport';

const PATIENCE = 120_000;

/** Sends a photo of an audition's finish, or of an install's wiring. The same `entry` may be sent again after a dropped connection. */
export async function sendPhoto(audition: string, entry: string, look: PhotoKind, file: File): Promise<Reply> {
  return opened(await (inApp() ? throughWindow : overHttp)(audition, entry, look, file));
}

async function throughWindow(audition: string, entry: string, look: PhotoKind, file: File): Promise<string> {
  const { invoke } = await import('@tauri-apps/api/core');
  const bytes = new Uint8Array(await file.arrayBuffer());
  return invoke<string>('take_photo', bytes, { headers: { audition, entry, look } });
}

async function overHttp(audition: string, entry: string, look: PhotoKind, file: File): Promise<string> {
  try {
    const answer = await knock(`/photo/${audition}/${entry}/${look}`, {
      method: 'POST',
      headers: { 'content-type': file.type.startsWith('image/') ? file.type : 'application/octet-stream' },
      body: file,
      credentials: 'same-origin',
      cache: 'no-store',
      redirect: 'error',
      signal: AbortSignal.timeout(PATIENCE),
    });
    return await answer.text();
  } catch {
    throw new NotConnected();
  }
}

async function pictureBytes(photo: string): Promise<ArrayBuffer> {
  if (!inApp()) return (await knock(`/photo/${photo}`, {})).arrayBuffer();
  const { invoke } = await import('@tauri-apps/api/core');
  return invoke<ArrayBuffer>('photo', { name: photo });
}

/** Where a picture can be shown from. */
export async function sourceOf(photo: string): Promise<string> {
  if (byAddress()) return `/photo/${photo}`;
  const bytes = await pictureBytes(photo);
  return new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.onload = () => resolve(String(reader.result));
    reader.onerror = () => reject(new NotConnected());
    reader.readAsDataURL(new Blob([bytes], { type: 'image/jpeg' }));
  });
}

// The door for phones on the same network. Only the program on this computer has one; who asks from elsewhere is told
// so, and gets null.

import type { Refusal } from '../contract';
import { knock } from '../knock';
import { inApp, NotConnected, Refused } from '../transport';

/** A phone that is paired. */
export interface PairedPhone {
  id: string;
  name: string;
  paired_at: string;
  seen_at: string | null;
}

/** What a person needs to see to pair a phone. */
export interface PhoneDoor {
  open: boolean;
  /** Addresses to type into a phone's browser, the likeliest first. */
  addresses: string[];
  /** Six digits that let the next phone in. */
  code: string | null;
  /** The first address with the code. */
  link: string | null;
  /** That link as a QR code, an SVG drawing. */
  picture: string | null;
  /** The phones that are paired. */
  phones: PairedPhone[];
}

export type DoorAction = 'status' | 'open' | 'close' | 'rename' | 'forget_one' | 'forget';

/** Which phone an action is about, and what to call it. */
export interface OfPhone {
  phone?: string;
  name?: string;
}

async function answerTo(action: DoorAction, of: OfPhone): Promise<string> {
  if (inApp()) {
    const { invoke } = await import('@tauri-apps/api/core');
    return invoke<string>('phone_door', { action, ...of });
  }
  const answer = await knock('/phone-door', {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ action, ...of }),
    credentials: 'same-origin',
    cache: 'no-store',
    redirect: 'error',
  });
  return answer.text();
}

/** Works the door, and gives what to show; null where there is no door. */
export async function phoneDoor(action: DoorAction, of: OfPhone = {}): Promise<PhoneDoor | null> {
  let answer: { ok?: PhoneDoor; refused?: Refusal };
  try {
    answer = JSON.parse(await answerTo(action, of)) as typeof answer;
  } catch {
    throw new NotConnected();
  }
  if (answer.ok !== undefined) return answer.ok;
  if (answer.refused === undefined) throw new NotConnected();
  if (answer.refused.code === 'not_here') return null;
  throw new Refused(answer.refused.code, answer.refused.sentence, answer.refused.field);
}

// The log that this bench shares with others. Only the program on this computer meets one; who asks from elsewhere is told so, and
// gets null.

import type { Refusal } from '../contract';
import { knock } from '../knock';
import { inApp, NotConnected, Refused } from '../transport';

/** How a shared log stands. */
export interface Shared {
  standing: 'off' | 'meeting' | 'met' | 'away' | 'stuck';
  /** The address, as it was typed. */
  address: string | null;
  /** The same for a person. */
  name: string | null;
  keeps_password: boolean;
  /** What is wrong. */
  trouble: string | null;
  /** What a person is asked before it goes on. */
  asks: 'password' | 'join' | null;
  /** That others erased much of what lies here, and that it waits. */
  erased_elsewhere: string | null;
  last_met: string | null;
  /** What moved then. */
  moved: string | null;
  /** How much waits here. */
  waiting: string | null;
  /** That this clock differs from the server's. */
  clock: string | null;
}

export interface Wish {
  action: 'status' | 'meet' | 'password' | 'join' | 'erase' | 'now' | 'stop';
  address?: string;
  password?: string;
  keep_password?: boolean;
}

async function answerTo(wish: Wish): Promise<string> {
  if (inApp()) {
    const { invoke } = await import('@tauri-apps/api/core');
    return invoke<string>('shared_log', { wish });
  }
  const answer = await knock('/shared-log', {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(wish),
    credentials: 'same-origin',
    cache: 'no-store',
    redirect: 'error',
  });
  return answer.text();
}

/** Works the shared log, and gives how it stands; null where there is none. */
export async function sharedLog(wish: Wish): Promise<Shared | null> {
  let answer: { ok?: Shared; refused?: Refusal };
  try {
    answer = JSON.parse(await answerTo(wish)) as typeof answer;
  } catch {
    throw new NotConnected();
  }
  if (answer.ok !== undefined) return answer.ok;
  if (answer.refused === undefined) throw new NotConnected();
  if (answer.refused.code === 'not_here') return null;
  throw new Refused(answer.refused.code, answer.refused.sentence, answer.refused.field);
}

// The catalogue as it was read last, so that it can be read also when the bench does not answer.

import { askOnce, type ReplyOf } from '../transport';

const KEY = 'solderlast.cautions';

export function keep(cautions: ReplyOf<'cautions'>): void {
  try {
    localStorage.setItem(KEY, JSON.stringify(cautions));
  } catch {
    // No room, or storage is switched off: it is read from the bench then.
  }
}

/** What was read last, if anything was. */
export function kept(): ReplyOf<'cautions'> | null {
  try {
    const cautions = JSON.parse(localStorage.getItem(KEY) ?? 'null') as ReplyOf<'cautions'> | null;
    return Array.isArray(cautions?.parts) && Array.isArray(cautions.now) ? cautions : null;
  } catch {
    return null;
  }
}

/** Reads the catalogue once, for the case that the bench is out of reach later. Never fails. */
export async function keepCautions(): Promise<void> {
  try {
    keep(await askOnce({ ask: 'cautions' }, 'cautions'));
  } catch {
    // It is tried again with the next start.
  }
}

// Leads that are to change their terminals, kept as a draft between the verdict and the terminal block.

import type { Contact, LeadIn } from '../contract';

/** A lead on its way to the terminal it belongs in. */
export interface Move extends LeadIn {
  /** It was said to be there. */
  done?: boolean;
}

/** As a draft; empty where nothing moves. */
export function moveDraft(moves: readonly Move[]): string {
  return moves.length === 0 ? '' : JSON.stringify(moves);
}

/** Out of a draft; none out of what is no such draft. */
export function movesIn(draft: string): Move[] {
  try {
    const read: unknown = JSON.parse(draft);
    const isMove = (one: Partial<Move> | null): boolean =>
      typeof one?.lead === 'string' && typeof one.terminal === 'string' && typeof one.belongs === 'string';
    return Array.isArray(read) && read.every(isMove) ? (read as Move[]) : [];
  } catch {
    return [];
  }
}

/** What lies in a terminal once the leads are where they belong, by what is recorded as lying there now. */
export function lyingAfter(recorded: readonly Contact[], terminal: string, moves: readonly Move[]): Contact[] {
  const comes = moves.filter((one) => one.belongs === terminal).map((one) => one.lead);
  const goes = (lead: Contact): boolean => moves.some((one) => one.lead === lead);
  return [...comes, ...recorded.filter((lead) => !goes(lead))];
}

/** The same, with these leads said to be where they belong. */
export function saidDone(moves: readonly Move[], leads: readonly Contact[]): Move[] {
  const now = moves.map((one) => (leads.includes(one.lead) ? { ...one, done: true } : one));
  return now.every((one) => one.done) ? [] : now;
}

/** Whether no lead has to be touched: only the record says otherwise than they lie. */
export function onlyWritten(moves: readonly Move[]): boolean {
  return moves.every((one) => one.terminal === one.belongs);
}

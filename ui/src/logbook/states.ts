// How an audition and its steps stand, in words.

import type { State, Status } from '../contract';

const STATES: Readonly<Record<State, string>> = { open: 'Open', finished: 'Finished', ended_early: 'Ended early' };
const STATUSES: Readonly<Record<Status, string>> = { open: 'Open', done: 'Done', held: 'Held', skipped: 'Left out' };

export const stateWord = (state: State): string => STATES[state];
export const statusWord = (status: Status): string => STATUSES[status];

// Where files of the bench are asked for and sent: at its address, or, in the page that is a bench itself, in its worker.

import { inApp } from './transport';

/** As `fetch`, for an address of the bench. `onsent` hears how much of a file has gone, in hundredths. */
export type Knock = (address: string, init: RequestInit, onsent?: (hundredths: number) => void) => Promise<Response>;

let other: Knock | null = null;

/** From now on this answers in place of an address. */
export function knockBy(knock: Knock): void {
  other = knock;
}

/** Whether something else answers in place of an address. */
export const besideAddresses = (): boolean => other !== null;

/** Whether what the bench keeps has an address of its own, for a picture or a sound. */
export const byAddress = (): boolean => other === null && !inApp();

export const knock: Knock = (address, init, onsent) => (other ?? fetch)(address, init, onsent);

// What lies across a coil while it is recorded, whether it is swept or tapped.

/** The fields of it, and of which coil it is: what is wrong with them stands at them. */
export const FIELDS: readonly string[] = ['coil', 'added', 'added_within', 'input', 'cable', 'cable_within'];

/** The capacitor across the coil, as it is sent: the usual one where none was typed, and none where it is not there. */
export const capacitorTyped = (there: boolean, typed: string): string => (there ? (typed === '' ? '1n' : typed) : '');

// Notes held against each other: the reference while one listens, auditions side by side, and the decision. It comes as one
// file, when it is asked for or when the first page has come to rest.

export { default as Beside } from './Beside.svelte';
export { default as Decide } from './Decide.svelte';
export { default as Decided } from './Decided.svelte';
export { default as Pick } from './Pick.svelte';
export { default as SideBySide } from './SideBySide.svelte';
export { default as Sheets } from './Sheets.svelte';

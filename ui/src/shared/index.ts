// The log that several benches share; only the program on a computer has one.

export { default as SharedLog } from './SharedLog.svelte';

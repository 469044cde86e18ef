// What makes a bench of the page: the way to its worker, and that what is written stays.

export { begin } from './begin';
export { door } from './door';
export { default as Keeping } from './Keeping.svelte';
export { default as KeptHere } from './KeptHere.svelte';

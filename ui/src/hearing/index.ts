// Takes recorded in the page, and heard: side by side, and blind. It comes as one file when it is asked for.

export { default as Blind } from './Blind.svelte';
export { default as Hear } from './Hear.svelte';
export { default as PickTakes } from './PickTakes.svelte';
export { default as PlanBlind } from './PlanBlind.svelte';
export { default as Record } from './Record.svelte';
export { default as Tests } from './Tests.svelte';

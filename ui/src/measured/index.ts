// What a pickup's coils measure. It comes as one file, when it is asked for.

export { default as CoilValues } from './CoilValues.svelte';
export { default as PoleSensor } from './PoleSensor.svelte';
export { default as Taps } from './Taps.svelte';

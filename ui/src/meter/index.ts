// What belongs to the meter bench and is not needed on an ordinary way through an audition. It comes as one file, when it is
// asked for or when the first page has come to rest.

export { default as Diagnosis } from './Diagnosis.svelte';
export { default as FindLeads } from './FindLeads.svelte';
export { default as Health } from './Health.svelte';
export { default as OwnMeter } from './OwnMeter.svelte';

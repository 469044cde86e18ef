// The pages of a pickup, a guitar and a rig with their forms: nobody needs them on the way through an audition. They
// come as one file, when one is asked for or when the first page has come to rest.

export { default as guitar } from '../pages/Guitar.svelte';
export { default as pickup } from '../pages/Pickup.svelte';
export { default as rig } from '../pages/Rig.svelte';

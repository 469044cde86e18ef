// The lists of pickups, guitars and rigs, and the page of one with its form: nobody needs them on the way through an audition.
// They come as one file, when one is asked for or when the first page has come to rest. Each by the name of its route.

export { default as drawer } from '../pages/Drawer.svelte';
export { default as guitars } from '../pages/Guitars.svelte';
export { default as rigs } from '../pages/Rigs.svelte';
export { default as guitar } from '../pages/Guitar.svelte';
export { default as pickup } from '../pages/Pickup.svelte';
export { default as rig } from '../pages/Rig.svelte';

// Taking the log along: nobody needs it on the way through an audition. It comes as a file of its own when it is asked for.

export { default as CarryPage } from './CarryPage.svelte';

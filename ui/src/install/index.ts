// The permanent install: the fit sheet, the acts at the open guitar, and the proof. It comes as one file, when it is asked
// for.

export { default as CircuitPage } from './CircuitPage.svelte';
export { default as InstallPage } from './InstallPage.svelte';
export { default as NewInstall } from './NewInstall.svelte';

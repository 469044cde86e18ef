// What nobody needs on the way through an ordinary audition. It comes as a file of its own, when it is asked for or when
// somebody rests on another page, so that a dropped connection shuts nobody out.

export { default as Album } from './Album.svelte';
export { default as BenchFacts } from './BenchFacts.svelte';
export { default as Filters } from '../history/Filters.svelte';
export { default as Fit } from './Fit.svelte';
export { default as FitLines } from './FitLines.svelte';
export { default as Hearing } from './Hearing.svelte';
export { default as HearingRule } from './HearingRule.svelte';
export { default as History } from '../history/History.svelte';
export { default as Iron } from './Iron.svelte';
export { default as Photos } from './Photos.svelte';
export { default as Past } from '../pages/Past.svelte';
export { default as Safety } from './Safety.svelte';
export { default as StruckOut } from './StruckOut.svelte';
export { default as Settings } from '../pages/Settings.svelte';
export { keepCautions } from './cautions';

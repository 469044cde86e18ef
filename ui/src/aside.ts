// What nobody needs on the way through an ordinary audition. It comes as a file of its own, when it is asked for or when
// somebody rests on another page, so that a dropped connection shuts nobody out.

export { default as Album } from './photos/Album.svelte';
export { default as BenchFacts } from './safety/BenchFacts.svelte';
export { default as BlindTests } from './hearing/Tests.svelte';
export { default as Filters } from './logbook/Filters.svelte';
export { default as Install } from './pages/Install.svelte';
export { default as FoundBeside } from './logbook/FoundBeside.svelte';
export { default as InstallLines } from './install/InstallLines.svelte';
export { default as Hearing } from './safety/Hearing.svelte';
export { default as HearingRule } from './safety/HearingRule.svelte';
export { default as History } from './history/History.svelte';
export { default as Iron } from './safety/Iron.svelte';
export { default as Logbook } from './pages/Logbook.svelte';
export { default as Photos } from './photos/Photos.svelte';
export { default as Past } from './pages/Past.svelte';
export { default as Safety } from './safety/Safety.svelte';
export { default as StruckOut } from './logbook/StruckOut.svelte';
export { default as Takes } from './takes/Takes.svelte';
export { default as Settings } from './pages/Settings.svelte';
export { keepCautions } from './safety/cautions';

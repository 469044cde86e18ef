// The first thing of the page that runs: the worker fetches and compiles the core while the rest of the page is read.

const begin = (): Worker => new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });

let first: Worker | null = begin();

/** A worker that has opened nothing yet. */
export function freshWorker(): Worker {
  const worker = first ?? begin();
  first = null;
  return worker;
}

// The audition that was answered last, so that the bench needs to send only what is different from it.

import type { AuditionView, EntryLine, Reply, StepView } from './contract';

/** What is different: whole fields of the page, the steps and (by their index) the lines that are, and the lines that were added. */
interface Changes extends Partial<AuditionView> {
  some_steps?: StepView[];
  some_written?: [number, EntryLine][];
  more_written?: EntryLine[];
}

export interface InFull {
  ok: Reply;
  as_of?: string;
}

export interface Different {
  since: string;
  as_of: string;
  changed: Changes;
}

/** How many are kept: a look that is under way may be answered from the one before the last. */
const KEPT = 4;
let held: { name: string; view: AuditionView }[] = [];

/** The name of the answer that is here about this audition; empty where there is none. */
export const heldName = (id: string): string => held.find(({ view }) => view.id === id)?.name ?? '';

/** Forgets what is here, as where another bench answers. */
export const forgetHeld = (): void => void (held = []);

function keep(name: string, view: AuditionView): void {
  held = [{ name, view }, ...held].slice(0, KEPT);
}

/** Keeps an audition that came in full. */
export function keepFull({ ok, as_of: name }: InFull): void {
  if (name !== undefined && ok.reply === 'audition') keep(name, ok.audition);
}

/** The whole audition; nothing where what it is different from is no longer here. What did not change stays the very same. */
export function whole({ since, as_of: name, changed }: Different): Reply | null {
  const was = held.find((one) => one.name === since)?.view;
  if (was === undefined) return null;
  const { some_steps: some = [], some_written: lines = [], more_written: more = [], ...fields } = changed;
  const view: AuditionView = { ...was, ...fields };
  if (some.length > 0) view.steps = was.steps.map((step) => some.find((one) => one.step === step.step) ?? step);
  if (lines.length + more.length > 0) {
    view.written = [...was.written, ...more];
    for (const [index, line] of lines) view.written[index] = line;
  }
  keep(name, view);
  return { reply: 'audition', audition: view };
}

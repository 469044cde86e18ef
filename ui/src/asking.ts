// What is asked about something typed. Nothing that carries it is written before somebody answers: it is so, or what it was.

/** A field whose text may be asked about. */
export interface Asked {
  /** As it stands in the field. */
  readonly text: string;
  /** It is asked about, and nobody has answered. */
  readonly open: boolean;
  /** Waits until it is known whether it is asked about. */
  settle(): Promise<void>;
  /** Brings the question into view. */
  show(): Promise<void>;
}

const fields = new Set<Asked>();

/** Takes part while the page shows the field; to be called for its end. */
export function asksHere(field: Asked): () => void {
  fields.add(field);
  return () => void fields.delete(field);
}

/** A question is open: nothing was written, and the question is in view. */
export class Unanswered extends Error {
  override readonly name = 'Unanswered';
  readonly sentence = 'Answer the question about what you typed first. Nothing was written.';
}

function textsIn(part: unknown, found: Set<string>): Set<string> {
  if (typeof part === 'string') found.add(part.trim());
  else if (typeof part === 'object' && part !== null) for (const one of Object.values(part)) textsIn(one, found);
  return found;
}

/** Whose text this act carries; empty for an act that carries nothing typed. */
function carried(act: unknown): Asked[] {
  const typed = [...fields].filter((field) => field.text.trim() !== '');
  if (typed.length === 0) return [];
  const texts = textsIn(act, new Set());
  return typed.filter((field) => texts.has(field.text.trim()));
}

/** Nothing when no field's text is carried; else what ends when all of it may be written, and throws {@link Unanswered} when not. */
export function answersFirst(act: unknown): Promise<void> | null {
  const asked = carried(act);
  return asked.length === 0 ? null : firstOpen(asked);
}

async function firstOpen(asked: readonly Asked[]): Promise<void> {
  await Promise.all(asked.map((field) => field.settle()));
  const open = asked.find((field) => field.open);
  if (open === undefined) return;
  await open.show();
  throw new Unanswered();
}

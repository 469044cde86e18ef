// Answers to the looks that a knob comes to next, fetched while nothing moves: its curve is then drawn in the frame in which it is turned.

import { alike } from '../alike';
import type { CircuitLook, CircuitView } from '../contract';

/** How far a knob goes, and by how much at least. */
export const KNOB = { to: 10, by: 0.25 };

export type Turned = 'volume' | 'tone' | 'blend';

/** Where these knobs can be turned to from this look, each alone, the nearest first. */
function* around(look: CircuitLook, knobs: readonly Turned[]): Generator<CircuitLook> {
  for (let by = KNOB.by; by <= KNOB.to; by += KNOB.by) {
    for (const knob of knobs) {
      for (const to of [look[knob] - by, look[knob] + by]) if (to >= 0 && to <= KNOB.to) yield { ...look, [knob]: to };
    }
  }
}

export class Ahead {
  readonly #ask: (look: CircuitLook) => Promise<CircuitView>;
  #here = new Map<string, CircuitView>();
  #round = 0;

  constructor(ask: (look: CircuitLook) => Promise<CircuitView>) {
    this.#ask = ask;
  }

  /** The answer to this look; nothing where it is not here. */
  at(look: CircuitLook): CircuitView | null {
    return this.#here.get(JSON.stringify(look)) ?? null;
  }

  /** Fetches what these knobs come to from this look, one answer after the other, and keeps no others but its own. Never rejects. */
  async from(look: CircuitLook, answer: CircuitView, knobs: readonly Turned[]): Promise<void> {
    const round = (this.#round += 1);
    const before = this.#here;
    this.#here = new Map([[JSON.stringify(look), answer]]);
    const looks = [...around(look, knobs)];
    for (const one of looks) {
      const kept = before.get(JSON.stringify(one));
      if (kept !== undefined) this.#here.set(JSON.stringify(one), kept);
    }
    for (const one of looks) {
      if (this.at(one) !== null) continue;
      const next = await this.#ask(one).catch(() => null);
      if (next === null || round !== this.#round) return;
      this.#here.set(JSON.stringify(one), alike(answer, next));
    }
  }

  /** Fetches no more; what is here stays. */
  stop(): void {
    this.#round += 1;
  }

  /** Forgets what is here, as when what it was computed from is another. */
  forget(): void {
    this.stop();
    this.#here = new Map();
  }
}

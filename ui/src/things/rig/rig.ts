// A rig in words.

import type { Faces, Feet, RigForm, RigPage, SwitchPosition } from '../../contract';
import type { Fact } from '../Facts.svelte';

export const FACES: readonly { value: Faces; label: string; detail: string }[] = [
  { value: 'down', label: 'Face down', detail: 'The poles point down at the strings.' },
  { value: 'up', label: 'Face up', detail: 'The poles point up.' },
];

export const FEET: readonly { value: Feet; label: string; detail: string }[] = [
  { value: 'suction', label: 'Suction feet', detail: 'Rubber or vinyl.' },
  { value: 'tape', label: 'Low-tack tape', detail: 'It can pull aged finish.' },
  { value: 'pads', label: 'Pads', detail: 'Foam or rubber.' },
  { value: 'loose', label: 'Loose', detail: 'Felt or cork, held by something else.' },
];

const wordOf = <Value>(from: readonly { value: Value; label: string }[], value: Value): string =>
  from.find((one) => one.value === value)?.label ?? '';

/** What the record says, in the unit its form was asked for. */
export function rigFacts({ rig, shown: form }: RigPage): Fact[] {
  return [
    { name: 'The pickup hangs', words: wordOf(FACES, rig.faces).toLowerCase() },
    { name: 'Terminals', words: rig.terminals.join(', ') },
    { name: 'Switch', words: rig.positions.map(({ mode }) => mode).join(', ') },
    { name: 'Feet', words: wordOf(FEET, rig.feet).toLowerCase() },
    { name: 'Studs', words: String(rig.studs) },
    { name: 'A turn of a stud', words: form.thread_pitch },
    { name: 'Between the studs', words: form.stud_spread },
    { name: 'Travel of a stud', words: form.stud_travel },
    { name: 'Stray capacitance', words: form.stray },
    { name: 'Notes', words: rig.notes },
  ];
}

/** Takes a terminal out of the block: bonds lose it, and an output at it goes to a terminal that is left. */
export function withoutTerminal(form: RigForm, gone: number): void {
  form.terminals.splice(gone, 1);
  const moved = (terminal: number): number => (terminal > gone ? terminal - 1 : terminal);
  for (const position of form.positions) {
    position.bonds = position.bonds
      .map((bond) => bond.filter((terminal) => terminal !== gone).map(moved))
      .filter((bond) => bond.length > 1);
    const [ground, tip] = position.output;
    const ends: [number, number] = [ground === gone ? -1 : moved(ground), tip === gone ? -1 : moved(tip)];
    const free = form.terminals.map((_, index) => index).filter((index) => !ends.includes(index));
    position.output = [ends[0] === -1 ? (free.shift() ?? 0) : ends[0], ends[1] === -1 ? (free.shift() ?? 1) : ends[1]];
  }
}

/** Puts a terminal into a set of joined ones, or takes it out; a terminal is in one set at most, and empty sets go. */
export function toggled(position: SwitchPosition, set: number, terminal: number): number[][] {
  const within = position.bonds[set]?.includes(terminal) ?? false;
  return position.bonds
    .map((bond, index) => {
      const others = bond.filter((one) => one !== terminal);
      return index === set && !within ? [...others, terminal].sort((a, b) => a - b) : others;
    })
    .filter((bond) => bond.length > 0);
}

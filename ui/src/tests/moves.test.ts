import { describe, expect, it } from 'vitest';
import { lyingAfter, moveDraft, movesIn, onlyWritten, saidDone, type Move } from '../meter/moves';

const SWAP: Move[] = [
  { lead: 'grey', terminal: 'A hot side', belongs: 'B ground side' },
  { lead: 'orange', terminal: 'B ground side', belongs: 'A hot side' },
];

describe('leads that change their terminals', () => {
  it('exchanges exactly the two in what is recorded', () => {
    const recorded: Record<string, string[]> = {
      'A ground side': ['blue', 'shield'],
      'A hot side': ['grey'],
      'B ground side': ['orange'],
      'B hot side': ['pink'],
    };
    const after = Object.entries(recorded).map(([name, leads]) => lyingAfter(leads, name, SWAP).join('+'));
    expect(after).toEqual(['blue+shield', 'orange', 'grey', 'pink']);
  });

  it('leaves a record as it is that the leads are to follow', () => {
    // They lie the other way round than written, and are put where they were written to be.
    const moves = SWAP.map((one) => ({ ...one, terminal: one.belongs, belongs: one.terminal }));
    expect(lyingAfter(['grey'], 'A hot side', moves)).toEqual(['grey']);
    expect(lyingAfter(['orange'], 'B ground side', moves)).toEqual(['orange']);
  });

  it('keeps what is not done yet, one terminal after the other', () => {
    const half = saidDone(SWAP, ['orange']);
    expect(half.map((one) => one.done ?? false)).toEqual([false, true]);
    expect(lyingAfter(['orange'], 'B ground side', half)).toEqual(['grey']);
    expect(saidDone(half, ['grey', 'shield'])).toEqual([]);
  });

  it('says where only the record is wrong', () => {
    expect(onlyWritten(SWAP)).toBe(false);
    expect(onlyWritten(SWAP.map((one) => ({ ...one, belongs: one.terminal })))).toBe(true);
  });

  it('reads what it wrote, and nothing out of anything else', () => {
    expect(movesIn(moveDraft(SWAP))).toEqual(SWAP);
    for (const draft of ['', 'grey\norange', '[1]', '[null]', '{}', '[{"lead":"grey"}]']) expect(movesIn(draft)).toEqual([]);
    expect(moveDraft([])).toBe('');
  });
});

import { afterEach, expect, test } from 'vitest';
import { answersFirst, asksHere, Unanswered, type Asked } from '../asking';
import { ask, carryBy } from '../transport';
import type { Ask } from '../contract';

/** A field that the bench asks about once it has looked. */
function field(text: string, asked: boolean): Asked & { shown: number; answered: boolean } {
  let looked = false;
  return {
    text,
    shown: 0,
    answered: false,
    get open() {
      return looked && asked && !this.answered;
    },
    settle() {
      looked = true;
      return Promise.resolve();
    },
    show() {
      this.shown += 1;
      return Promise.resolve();
    },
  };
}

const ends: (() => void)[] = [];
const here = <One extends Asked>(one: One): One => (ends.push(asksHere(one)), one);
afterEach(() => {
  for (const end of ends.splice(0)) end();
  carryBy(null);
});

test('an act waits for the question about a text it carries, however deep', async () => {
  const slip = here(field('12.7', true));
  here(field('3.8', false));
  await expect(answersFirst({ ask: 'measure_gaps', bass: '12.7', treble: '3.8' })).rejects.toBeInstanceOf(Unanswered);
  await expect(answersFirst({ form: { coils: [{ stated: ' 12.7 ' }] } })).rejects.toBeInstanceOf(Unanswered);
  expect(slip.shown).toBe(2);
  slip.answered = true;
  await expect(answersFirst({ bass: '12.7' })).resolves.toBeUndefined();
});

test('an act that carries none of it does not wait', () => {
  here(field('12.7', true));
  here(field('', true));
  expect(answersFirst({ ask: 'acknowledge', caution: 'x', words: '' })).toBeNull();
});

test('nothing is sent to the bench before the answer', async () => {
  const sent: string[] = [];
  carryBy((text) => {
    sent.push(text);
    return Promise.resolve('{"ok":{"reply":"bench"}}');
  });
  const slip = here(field('6.66', true));
  const write = { ask: 'write_pickup', entry: 'e', id: 'i', form: { coils: [{ stated: '6.66' }] } } as unknown as Ask;
  await expect(ask(write, 'bench')).rejects.toBeInstanceOf(Unanswered);
  expect(sent).toEqual([]);
  slip.answered = true;
  await ask(write, 'bench');
  expect(sent).toHaveLength(1);
});

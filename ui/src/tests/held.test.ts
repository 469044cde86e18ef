import { beforeEach, expect, test } from 'vitest';
import type { AuditionView } from '../contract';
import { ask, askOnce, carryBy } from '../transport';
import { freshStorage } from './device';

const step = (step: string, status: string) => ({ step, status });
const view = (more: object = {}) =>
  ({ id: 'a', title: 'Kettle', steps: [step('choose', 'done'), step('meter', 'open')], written: [{ entry: '1' }], iron: { far: true }, ...more }) as unknown as AuditionView;
const full = (name: string, audition = view()) => JSON.stringify({ ok: { reply: 'audition', audition }, as_of: name });
const changed = (since: string, name: string, changes: object) => JSON.stringify({ since, as_of: name, changed: changes });
const look = { ask: 'audition', id: 'a' } as const;

/** A bench that gives these answers one after the other; answers what it was told to have. */
function answering(...answers: string[]): (string | null)[] {
  const seen: (string | null)[] = [];
  carryBy(async (_, has) => {
    seen.push(has);
    return answers.shift() ?? '';
  });
  return seen;
}

beforeEach(() => void freshStorage());

test('what changed is brought in, and what did not stays the very same', async () => {
  const seen = answering(full('n1'), changed('n1', 'n2', { title: 'Crane', some_steps: [step('meter', 'done')], more_written: [{ entry: '2' }] }));
  const { audition: first } = await ask(look, 'audition');
  const { audition: second } = await ask(look, 'audition');
  expect(seen).toEqual(['', 'n1']);
  expect(second).toEqual(view({ title: 'Crane', steps: [step('choose', 'done'), step('meter', 'done')], written: [{ entry: '1' }, { entry: '2' }] }));
  expect(second.iron).toBe(first.iron);
  expect(second.steps[0]).toBe(first.steps[0]);
  expect(first.title).toBe('Kettle');
});

test('a line that was retired is another one, at its place', async () => {
  const two = view({ written: [{ entry: '1' }, { entry: '2' }] });
  answering(full('n1', two), changed('n1', 'n2', { some_written: [[0, { entry: '1', retired: true }]], more_written: [{ entry: '3' }] }));
  const { audition: first } = await ask(look, 'audition');
  const { audition: second } = await ask(look, 'audition');
  expect(second.written).toEqual([{ entry: '1', retired: true }, { entry: '2' }, { entry: '3' }]);
  expect(second.written[1]).toBe(first.written[1]);
  expect(first.written).toEqual(two.written);
});

test('two looks at once come from the same answer', async () => {
  answering(full('n1'), changed('n1', 'n2', { title: 'Crane' }), changed('n1', 'n3', { title: 'Whistle' }));
  await ask(look, 'audition');
  const [one, other] = await Promise.all([askOnce(look, 'audition'), askOnce(look, 'audition')]);
  expect([one.audition.title, other.audition.title]).toEqual(['Crane', 'Whistle']);
});

test('where what it is different from is gone, all of it is asked for', async () => {
  const seen = answering(full('n1'), changed('n0', 'n2', { title: 'Crane' }), full('n3', view({ title: 'Crane' })));
  await ask(look, 'audition');
  const { audition } = await ask(look, 'audition');
  expect(seen).toEqual(['', 'n1', '']);
  expect(audition.title).toBe('Crane');
});

test('another audition, and another page, have nothing of it', async () => {
  const seen = answering(full('n1'), full('n2', view({ id: 'b' })), JSON.stringify({ ok: { reply: 'drawer', pickups: [] } }));
  await ask(look, 'audition');
  await ask({ ask: 'audition', id: 'b' }, 'audition');
  await ask({ ask: 'drawer', retired: false }, 'drawer');
  expect(seen).toEqual(['', '', null]);
});

import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { connection } from '../connection.svelte';
import type { Ask } from '../contract';
import { ask as askFor, askOnce, carryBy, NotConnected, OtherVersion, Refused, sendWaiting, sentenceOf, tryNow } from '../transport';
import { freshStorage } from './device';

const UNSENT = 'solderlast.unsent';
const OK = JSON.stringify({ ok: { reply: 'done', sentence: 'Done.' } });
const DONE = { reply: 'done', sentence: 'Done.' };
const REFUSED = JSON.stringify({ refused: { code: 'unclear', sentence: 'Write a reading.', field: 'reading' } });
const write = (entry: string): Ask & { entry: string } => ({
  ask: 'take_reading',
  entry,
  audition: 'a',
  mode: 'series',
  reading: '6.66k',
  room: '',
});
const ask = (question: Ask) => askFor(question, 'done');

let storage: Storage;

beforeEach(() => {
  storage = freshStorage();
  vi.useFakeTimers();
  connection.lost = false;
  connection.trouble = null;
});

afterEach(() => {
  carryBy(null);
  vi.useRealTimers();
});

/** A bench that drops the first `times` questions and answers the rest. */
function dropping(times: number, answer: (ask: string) => string = () => OK): string[] {
  const seen: string[] = [];
  carryBy(async (text) => {
    seen.push(text);
    if (seen.length <= times) throw new TypeError('Failed to fetch');
    return answer(text);
  });
  return seen;
}

test('an answer comes through', async () => {
  dropping(0);
  await expect(ask({ ask: 'bench' })).resolves.toEqual(DONE);
  expect(connection.lost).toBe(false);
});

test('a refusal names code, sentence and field, and is no lost connection', async () => {
  dropping(0, () => REFUSED);
  const refused = await ask(write('a')).catch((cause: unknown) => cause);
  expect(refused).toBeInstanceOf(Refused);
  expect(refused).toMatchObject({ code: 'unclear', sentence: 'Write a reading.', field: 'reading' });
  expect(connection.lost).toBe(false);
  expect(storage.getItem(UNSENT)).toBeNull();
});

test('a dropped write is sent again with the same entry until it is answered', async () => {
  const seen = dropping(7);
  const answer = ask(write('one'));
  await vi.advanceTimersByTimeAsync(2000);
  expect(connection.lost).toBe(true);
  expect(JSON.parse(storage.getItem(UNSENT) ?? '[]')).toEqual([JSON.stringify(write('one'))]);
  await vi.advanceTimersByTimeAsync(120_000);
  await expect(answer).resolves.toEqual(DONE);
  expect(seen).toHaveLength(8);
  expect(new Set(seen).size).toBe(1);
  expect(connection.lost).toBe(false);
  expect(storage.getItem(UNSENT)).toBeNull();
});

test('what was written first is sent first', async () => {
  const seen = dropping(2);
  const both = Promise.all([ask(write('first')), ask(write('second'))]);
  await vi.advanceTimersByTimeAsync(60_000);
  await both;
  expect(seen.map((text) => JSON.parse(text).entry)).toEqual(['first', 'first', 'first', 'second']);
});

test('a refused write does not stop the next one', async () => {
  dropping(0, (text) => (text.includes('bad') ? REFUSED : OK));
  const [bad, good] = await Promise.allSettled([ask(write('bad')), ask(write('good'))]);
  expect([bad.status, good.status]).toEqual(['rejected', 'fulfilled']);
});

test('a question that only reads is given up after some attempts', async () => {
  const seen = dropping(Infinity);
  const answer = ask({ ask: 'bench' }).catch((cause: unknown) => cause);
  await vi.advanceTimersByTimeAsync(60_000);
  expect(await answer).toBeInstanceOf(NotConnected);
  expect(seen).toHaveLength(4);
});

test('a person who wants to try now does not wait for the pause', async () => {
  const seen = dropping(5);
  const answer = ask(write('now'));
  for (let attempt = 1; attempt <= 6; attempt += 1) {
    await vi.advanceTimersByTimeAsync(0);
    expect(seen).toHaveLength(attempt);
    tryNow();
  }
  await expect(answer).resolves.toEqual(DONE);
});

test.each(['<html>Sign in to this network</html>', '', 'null', '7', '{}'])(
  'an answer that is none of ours (%s) counts as no answer',
  async (text) => {
    carryBy(async () => text);
    await expect(askOnce({ ask: 'bench' }, 'bench')).rejects.toBeInstanceOf(NotConnected);
  },
);

test('an answer of another kind comes from another version, and is not taken for ours', async () => {
  dropping(0);
  await expect(askFor({ ask: 'bench' }, 'bench')).rejects.toBeInstanceOf(OtherVersion);
});

test('what an earlier page could not send is sent, and what is refused by now is said', async () => {
  storage.setItem(UNSENT, JSON.stringify([JSON.stringify(write('old')), JSON.stringify(write('bad'))]));
  const seen = dropping(0, (text) => (text.includes('bad') ? REFUSED : OK));
  await sendWaiting();
  expect(seen.map((text) => JSON.parse(text).entry)).toEqual(['old', 'bad']);
  expect(connection.trouble).toContain('Write a reading.');
  expect(storage.getItem(UNSENT)).toBeNull();
});

test('a damaged list of what waits is no list', async () => {
  storage.setItem(UNSENT, '["half');
  const seen = dropping(0);
  await sendWaiting();
  expect(seen).toEqual([]);
});

test('whatever was thrown has a sentence for a person', () => {
  expect(sentenceOf(new Refused('held', 'Held.', null))).toBe('Held.');
  expect(sentenceOf(new NotConnected())).toContain('does not answer');
  expect(sentenceOf(new TypeError('x is undefined'))).not.toContain('undefined');
});

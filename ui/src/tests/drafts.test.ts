import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { clearDrafts, draftKey, draftOf, fetchDrafts, keepDraft, sendDraftsNow, Typed } from '../drafts.svelte';
import { carryBy } from '../transport';
import { freshStorage } from './device';

let sent: { ask: string; key?: string; text?: string }[];

beforeEach(() => {
  freshStorage();
  vi.useFakeTimers();
  sent = [];
  carryBy(async (text) => {
    sent.push(JSON.parse(text));
    return JSON.stringify({ ok: { reply: 'drafts', drafts: [{ key: 'a/listen/words', text: 'from the other phone' }] } });
  });
});

afterEach(() => {
  sendDraftsNow();
  carryBy(null);
  vi.useRealTimers();
});

test('every key is kept here at once, and the last goes to the bench after a pause', async () => {
  const field = new Typed(draftKey('a', 'meter', 'series'));
  for (const text of ['6', '6.', '6.6', '6.66', '6.66k']) {
    field.text = text;
    expect(draftOf('a/meter/series')).toBe(text);
  }
  expect(sent).toEqual([]);
  await vi.advanceTimersByTimeAsync(1000);
  expect(sent).toEqual([{ ask: 'keep_draft', key: 'a/meter/series', text: '6.66k' }]);
});

test('a field opened again shows what was being typed', () => {
  new Typed('a/meter/single').text = '3.3';
  expect(new Typed('a/meter/single', 'recorded before').text).toBe('3.3');
  expect(new Typed('a/meter/parallel', 'recorded before').text).toBe('recorded before');
});

test('what is recorded is no draft any more, here and at the bench', async () => {
  const field = new Typed('a/gaps/bass');
  field.text = '2.4';
  field.recorded('2.4 mm');
  expect(field.text).toBe('2.4 mm');
  expect(draftOf('a/gaps/bass')).toBeNull();
  await vi.advanceTimersByTimeAsync(1000);
  expect(sent.at(-1)).toEqual({ ask: 'keep_draft', key: 'a/gaps/bass', text: '' });
});

test('what was struck out is gone from its field, what is being typed stays', () => {
  const field = new Typed('a/listen/note', '');
  field.text = 'Thick';
  field.follow('Thick');
  field.recorded('Thick');
  field.follow('');
  expect(field.text).toBe('');
  expect(draftOf('a/listen/note')).toBeNull();
  field.text = 'Thin';
  field.recorded('Thin');
  field.text = 'Thin and';
  field.follow('');
  expect(field.text).toBe('Thin and');
  expect(draftOf('a/listen/note')).toBe('Thin and');
});

test('clearing a step leaves the others', () => {
  keepDraft('a/gaps/bass', '2');
  keepDraft('a/gaps/treble', '1');
  keepDraft('a/listen/words', 'bright');
  keepDraft('ab/gaps/bass', '3');
  clearDrafts('a', 'gaps');
  expect(['a/gaps/bass', 'a/gaps/treble', 'a/listen/words', 'ab/gaps/bass'].map(draftOf)).toEqual([
    null,
    null,
    'bright',
    '3',
  ]);
});

test('a page that is put away sends at once', () => {
  keepDraft('a/listen/words', 'clear');
  sendDraftsNow();
  expect(sent).toEqual([{ ask: 'keep_draft', key: 'a/listen/words', text: 'clear' }]);
});

test('words from another phone are there, but what was typed here comes first', async () => {
  await fetchDrafts();
  expect(draftOf('a/listen/words')).toBe('from the other phone');
  keepDraft('a/listen/words', 'typed here');
  expect(draftOf('a/listen/words')).toBe('typed here');
});

test('a field that is shown before the bench answers takes up what it has, unless somebody typed meanwhile', async () => {
  for (const [meanwhile, shown] of [
    [null, 'from the other phone'],
    ['typed here', 'typed here'],
    ['', ''],
  ] as const) {
    const key = `late/${shown}`;
    const field = new Typed(key, 'as it stands');
    expect(field.text).toBe('as it stands');
    if (meanwhile !== null) field.text = meanwhile;
    carryBy(async () => JSON.stringify({ ok: { reply: 'drafts', drafts: [{ key, text: 'from the other phone' }] } }));
    await fetchDrafts();
    expect([field.text, field.changed]).toEqual([shown, true]);
    field.recorded('written');
    await fetchDrafts();
    expect([field.text, field.changed]).toEqual(['written', false]);
  }
});

test('without a bench nothing typed is lost', async () => {
  carryBy(async () => {
    throw new TypeError('Failed to fetch');
  });
  keepDraft('a/listen/words', 'kept');
  await vi.advanceTimersByTimeAsync(5000);
  expect(draftOf('a/listen/words')).toBe('kept');
});

test('a browser that lost what it kept last shows what the bench has', async () => {
  const choice = new Typed('a/seat/barrier', 'none');
  choice.text = 'cloth';
  await vi.advanceTimersByTimeAsync(1000);
  choice.text = 'none';
  await vi.advanceTimersByTimeAsync(1000);
  const onDisk = localStorage.getItem('solderlast.draft.a/seat/barrier');
  choice.text = 'cloth';
  await vi.advanceTimersByTimeAsync(1000);
  // Killed: what came after is not on its disk.
  localStorage.setItem('solderlast.draft.a/seat/barrier', onDisk ?? '');
  carryBy(async () => JSON.stringify({ ok: { reply: 'drafts', drafts: [{ key: 'a/seat/barrier', text: sent.at(-1)?.text }] } }));
  await fetchDrafts();
  expect(new Typed('a/seat/barrier', 'none').text).toBe('cloth');
});

test('what the bench never got comes first, and goes at the next start', async () => {
  const reaches = (text: string): Promise<string> => {
    sent.push(JSON.parse(text));
    return Promise.resolve(JSON.stringify({ ok: { reply: 'drafts', drafts: [{ key: 'a/listen/words', text: 'older' }] } }));
  };
  carryBy(async () => {
    throw new TypeError('Failed to fetch');
  });
  keepDraft('a/listen/words', 'newer');
  await vi.advanceTimersByTimeAsync(1000);
  carryBy(reaches);
  await fetchDrafts();
  await vi.advanceTimersByTimeAsync(0);
  expect(draftOf('a/listen/words')).toBe('newer');
  expect(sent.at(-1)).toEqual({ ask: 'keep_draft', key: 'a/listen/words', text: 'newer' });
});

test('where nothing can be kept here, the bench still gets what was typed', () => {
  vi.stubGlobal('localStorage', undefined);
  const field = new Typed('a/listen/words');
  field.text = 'clear';
  expect(new Typed('a/listen/words').text).toBe('clear');
  sendDraftsNow();
  expect(sent).toEqual([{ ask: 'keep_draft', key: 'a/listen/words', text: 'clear' }]);
});

test('what was chosen while something was written is not taken for written', () => {
  const choice = new Typed('a/seat/barrier', 'none');
  choice.text = 'cloth';
  const written = choice.writing();
  choice.text = 'paper';
  written();
  expect([choice.text, choice.changed, draftOf('a/seat/barrier')]).toEqual(['paper', true, 'paper']);
  choice.writing()();
  expect([choice.text, choice.changed, draftOf('a/seat/barrier')]).toEqual(['paper', false, null]);
});

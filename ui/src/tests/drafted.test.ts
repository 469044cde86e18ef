import { beforeEach, expect, test } from 'vitest';
import { Drafted } from '../things/drafted.svelte';
import { draftOf, keepDraft } from '../drafts.svelte';
import { freshStorage } from './device';

interface Form {
  label: string;
  active: boolean | null;
  shield: { lead: string } | null;
  coils: { stated: string }[];
}

const start = (): Form => ({ label: '', active: null, shield: null, coils: [{ stated: '' }] });
const opened = (begun = start()): Drafted<Form> => new Drafted('pickup/new', null, begun);

beforeEach(() => freshStorage());

test('whatever was answered or taken back is there when a form is opened again', () => {
  const answers: ((form: Form) => void)[] = [
    (form) => (form.label = 'Brambleknot'),
    (form) => (form.active = false),
    (form) => (form.shield = { lead: 'bare' }),
    (form) => form.coils.push({ stated: '4k' }),
    (form) => (form.active = null),
    (form) => (form.shield = null),
  ];
  for (const answer of answers) {
    const before = opened();
    const id = before.id;
    answer(before.form);
    before.keep();
    const again = opened();
    expect(again.form).toEqual(before.form);
    expect([again.found, again.id]).toEqual([true, id]);
  }
});

test('an answer that a record has can be taken back and is not forgotten', () => {
  const record = (): Form => ({ ...start(), label: 'Wren', active: true, shield: { lead: 'bare' } });
  const before = opened(record());
  before.form.active = null;
  before.form.shield = null;
  before.keep();
  expect(opened(record()).form).toEqual({ ...record(), active: null, shield: null });
});

test('a form that is shown before the bench answers takes up what it has, unless somebody answered meanwhile', () => {
  const other = opened();
  other.form.label = 'Brambleknot';
  const typed = JSON.stringify({ id: other.id, start: JSON.stringify(start()), form: other.form });
  for (const meanwhile of ['', 'Wren']) {
    const form = opened();
    form.form.label = meanwhile;
    form.keep();
    if (meanwhile === '') keepDraft('pickup/new', typed);
    form.keep();
    expect([form.form.label, form.found]).toEqual(meanwhile === '' ? ['Brambleknot', true] : ['Wren', false]);
    form.startOver();
    form.keep();
    form.keep();
    expect([form.form.label, draftOf('pickup/new')]).toEqual(['', null]);
  }
});

test('nothing that was typed is lost by starting over and coming back', () => {
  const form = opened();
  form.form.label = 'Wren';
  form.startOver();
  expect([form.form.label, form.hasAside]).toEqual(['', true]);
  form.exchange();
  expect([form.form.label, form.hasAside]).toEqual(['Wren', false]);
  form.exchange();
  expect(form.form.label).toBe('Wren');
  form.startOver();
  form.form.label = 'Brambleknot';
  for (const label of ['Wren', 'Brambleknot', 'Wren']) {
    form.exchange();
    expect([form.form.label, form.hasAside]).toEqual([label, true]);
  }
});

test('a draft of another form is passed over', () => {
  for (const other of [{ label: 'Wren' }, { ...start(), label: null }, { ...start(), coils: null }, { ...start(), coils: {} }]) {
    keepDraft('pickup/new', JSON.stringify({ id: 'one', start: '', form: other }));
    expect(opened().form).toEqual(start());
    expect(opened().found).toBe(false);
  }
  expect(draftOf('pickup/new')).not.toBeNull();
});

import { render } from 'svelte/server';
import { expect, test, vi } from 'vitest';
import type { AuditionView } from '../contract';
import Gaps from '../pages/audition/Gaps.svelte';
import { Session } from '../pages/audition/session.svelte';
import { freshStorage } from './device';

/** An audition at its gaps, on a rig with this pitch. */
function shown(thread_pitch: number | null, measured: object = {}, typed: Record<string, string> = {}): string {
  const storage = freshStorage();
  for (const [field, text] of Object.entries(typed)) storage.setItem(`solderlast.draft.one/gaps/${field}`, text);
  vi.stubGlobal('location', { hash: '#/audition/one/gaps' });
  const gaps = {
    start: null, how: '', usual_pressed_at: 22, strings: '', height: null, poles: null, open: null, installed: null, bass: null, treble: null,
    bass_is: null, treble_is: null, pressed_at: null, kept: false, between: [], between_typed: [], between_notes: [], studs_out: null,
    levels: { readings: [], sentence: '', planned: null }, aim: null, moves: null, ...measured,
  };
  const view = { gaps, steps: [], choice: { rig: 'shelf' }, sides: { from_bridge: 'left' }, rig: { faces: 'down', thread_pitch } };
  return render(Gaps, { props: { session: new Session('one'), view: view as unknown as AuditionView } }).body;
}

test('turns are offered where the rig has a pitch; where it has none, the way to its record is', () => {
  expect(shown(0.7)).toContain('Show me the turns');
  expect(shown(0.7)).not.toContain('stands in no record');
  expect(shown(null)).not.toContain('Show me the turns');
  expect(shown(null)).toContain('href="#/rig/shelf/edit"');
});

const length = (millimetre: string) => ({ value: Number.parseFloat(millimetre), millimetre, decimal_inch: millimetre, sixtyfourth: millimetre });
const MEASURED = {
  bass: length('4.8 mm'), treble: length('4.4 mm'), bass_is: 'far', treble_is: 'far', pressed_at: 22,
  open: 'Open, the strings are 6 mm and 5 mm from the poles.', between_typed: ['', ''], between_notes: ['A2', 'D3'],
  aim: {
    bass: length('2.4 mm'), treble: length('2 mm'), from: null, chosen: false, words: 'To the middle of the starting range', warning: null, fairness: null,
    bass_band: [length('2 mm'), length('3 mm')], treble_band: [length('1.5 mm'), length('2.5 mm')],
  },
  moves: {
    studs: [{ side: 'bass', words: '2 and five eighths turns, lowering' }], sentence: '', bass_after: length('2.4 mm'), treble_after: length('2 mm'),
  },
};

/** What the bench told of the gaps can be read. */
const told = (body: string): boolean => body.includes('five eighths turns') && !/class="stack[^"]* past"[^>]* inert/.test(body);

test('turns and verdict are told of the gaps that stand in the fields, and of no others', () => {
  expect(told(shown(0.7, MEASURED))).toBe(true);
  // As they were written, whatever else is typed as it stands.
  expect(told(shown(0.7, MEASURED, { bass: '4.8 mm' }))).toBe(true);
  for (const typed of [{ bass: '2.8' }, { treble: '2.3' }, { pressed: 'open' }, { fret: '21' }, { 'between.0': '2.5' }, { 'studs_out.1': '3' }]) {
    const body = shown(0.7, MEASURED, typed as Record<string, string>);
    expect(told(body), JSON.stringify(typed)).toBe(false);
    expect(body).toContain('For these gaps, tap');
    expect(body).not.toContain('Open, the strings are');
  }
});

// The pictures that the pages draw themselves, held to the same turn of the guitar as those of the core: what is drawn is read
// back, and the thick strings must be where the bass strings are.

import { render } from 'svelte/server';
import { expect, test } from 'vitest';
import FinishPicture from '../pictures/FinishPicture.svelte';
import GapGauge from '../pictures/GapGauge.svelte';
import LeadsPicture from '../pictures/LeadsPicture.svelte';
import PlacePicture from '../pictures/PlacePicture.svelte';
import RigOverStrings from '../pictures/RigOverStrings.svelte';
import TerminalBlock from '../pictures/TerminalBlock.svelte';

const numbers = (text: string, pattern: RegExp): number[][] =>
  [...text.matchAll(pattern)].map((found) => found.slice(1).map(Number));

/** In the room x goes to the bridge and y to the right when one looks from the bridge to the neck. */
const bassY = (strung: 'right' | 'left'): number => (strung === 'right' ? -1 : 1);

/** Seen from the front with the neck to the left the bridge is to the right, so the room's y goes up the picture. */
const neckLeft = ([x, y]: readonly [number, number]): readonly [number, number] => [x, -y];

const GAP = { value: 2, shown: '2 mm', is: null, from: null, to: null } as const;

for (const strung of ['right', 'left'] as const) {
  const [, down] = neckLeft([0, bassY(strung)]);
  const bassAt = down > 0 ? 'bottom' : 'top';
  const from_bridge = bassY(strung) < 0 ? 'left' : 'right';

  test(`strung for the ${strung} hand, the thick strings of the guitar's picture are at the ${bassAt}`, () => {
    expect(bassAt).toBe(strung === 'right' ? 'bottom' : 'top');
    const places = [{ name: 'neck', value: 162, treble: 150, shown: '162 mm' }];
    const { body } = render(PlacePicture, { props: { places, chosen: places[0] ?? null, strings: 6, bassAt } });
    const strings = numbers(body, /M2 ([\d.]+)L[\d.]+ [\d.]+" class="string" stroke-width="([\d.]+)"/g);
    expect(strings.length).toBe(6);
    const thickest = strings.reduce((one, other) => ((other[1] ?? 0) > (one[1] ?? 0) ? other : one));
    expect((thickest[0] ?? 0) > 78).toBe(bassAt === 'bottom');
    // Slanted, it is nearer the saddle, which is at the right, at the treble side.
    const [case_] = numbers(body, /M([\d.]+) 38H[\d.]+L([\d.]+) 118H[\d.]+Z" class="case/g);
    const [top = 0, bottom = 0] = case_ ?? [];
    expect(bassAt === 'bottom' ? top > bottom - 26 : bottom - 26 > top).toBe(true);
  });

  test(`strung for the ${strung} hand, from the bridge the bass side is at the ${from_bridge}`, () => {
    const rig = render(RigOverStrings, { props: { faces: 'down', feet: 'pads', bassAt: from_bridge } }).body;
    const strings = numbers(rig, /circle cx="([\d.]+)" cy="150" r="([\d.]+)"/g);
    const thickest = strings.reduce((one, other) => ((other[1] ?? 0) > (one[1] ?? 0) ? other : one));
    expect((thickest[0] ?? 0) < 180).toBe(from_bridge === 'left');
    const gauge = render(GapGauge, { props: { bass: GAP, treble: GAP, bassAt: from_bridge } }).body;
    expect(gauge.indexOf('>Bass side<') < gauge.indexOf('>Treble side<')).toBe(from_bridge === 'left');
  });
}

test('a gap that is typed and not kept yet is shown as typed', () => {
  const typed = { ...GAP, value: null, shown: '2.6, typed', is: null };
  const { body } = render(GapGauge, { props: { bass: typed, treble: GAP } });
  expect(body).toContain('>2.6, typed<');
  expect(body).toContain('Bass side: 2.6, typed');
  expect(body).not.toContain('not measured');
});

test('no label of the ready-made terminals runs into a screw, nor is one of the finish cut', () => {
  const terminals = ['A ground side', 'A hot side', 'B ground side', 'B hot side'].map((name) => ({ name, leads: ['moss'] }));
  const { body } = render(TerminalBlock, { props: { terminals } });
  // Bold letters are about 0.62 of their size wide; the screw begins 36 before the block's right edge at 244.
  const lines = [...body.matchAll(/<text x="([\d.]+)"[^>]*class="on-case strong[^"]*" font-size="([\d.]+)">([^<]*)</g)];
  expect(lines.map(([, , , line = '']) => line).join(' ')).toContain('A ground side');
  for (const [, x, size, line = ''] of lines) {
    expect(Number(x) + 0.62 * Number(size) * line.length, line).toBeLessThanOrEqual(202);
  }
  for (const feet of ['suction', 'tape', 'pads', 'loose'] as const) {
    for (const between of ['nothing between', 'clean cotton between', 'paper or card between', 'plastic film between']) {
      for (const finish of ['unknown', 'lacquer', 'poly', 'shellac', 'oil_or_wax', 'bare'] as const) {
        const { body: picture } = render(FinishPicture, { props: { feet, barrier: 'cloth', between, finish } });
        const words = [...picture.matchAll(/<text x="245"[^>]*>([^<]*)</g)].map(([, word = '']) => word);
        expect(words.join(' ')).toContain(between);
        expect(words.filter((word) => word.length > 14 || word.includes('…'))).toEqual([]);
      }
    }
  }
});

test('the names of leads keep clear of the edge of a picture and of a probe', () => {
  const names = ['black + shield', 'moss', 'the thin bare one'];
  const left = (text: string): number[] =>
    [...text.matchAll(/<text x="([\d.]+)"[^>]*class="end strong[^"]*" font-size="([\d.]+)">([^<]*)</g)].map(
      ([, x, size, word = '']) => Number(x) - 0.62 * Number(size) * [...word].length,
    );
  const block = left(render(TerminalBlock, { props: { terminals: names.map((name) => ({ name: '1', leads: [name] })), current: 0 } }).body);
  const probed = left(render(LeadsPicture, { props: { names, coils: [], probes: names.slice(0, 2), signed: true } }).body);
  const plain = left(render(LeadsPicture, { props: { names, coils: [] } }).body);
  expect([block.length, probed.length, plain.length]).toEqual([3, 3, 3]);
  for (const at of block) expect(at).toBeGreaterThan(8);
  for (const at of plain) expect(at).toBeGreaterThan(16);
  // The sign stands at 24.
  for (const at of probed.slice(0, 2)) expect(at).toBeGreaterThan(36);
});

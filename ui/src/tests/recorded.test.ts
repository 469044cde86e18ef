import { expect, test } from 'vitest';
import { wavHead, wavOf } from '../hearing/wav';

test('the head of a recording says what is in it', () => {
  const head = new DataView(wavHead(44_100, 2, 800).buffer);
  const text = (at: number, length: number): string => String.fromCharCode(...new Uint8Array(head.buffer, at, length));
  expect([text(0, 4), text(8, 8), text(38, 4), text(50, 4)]).toEqual(['RIFF', 'WAVEfmt ', 'fact', 'data']);
  expect(head.getUint32(4, true)).toBe(head.byteLength + 800 - 8);
  // Samples in floating point, two channels, and frames a second.
  expect([head.getUint16(20, true), head.getUint16(22, true), head.getUint32(24, true)]).toEqual([3, 2, 44_100]);
  expect([head.getUint32(28, true), head.getUint16(32, true), head.getUint16(34, true)]).toEqual([352_800, 8, 32]);
  expect([head.getUint32(46, true), head.getUint32(54, true)]).toEqual([100, 800]);
});

test('parts stand in the file in their order, as they came', async () => {
  const parts = [new Float32Array([0.5, -0.25]), new Float32Array([1e-7, 1])].map(({ buffer }) => buffer);
  const file = wavOf(48_000, 1, parts, 'x.wav');
  const bytes = await file.arrayBuffer();
  expect([...new Float32Array(bytes.slice(58))]).toEqual([0.5, -0.25, Math.fround(1e-7), 1]);
  expect(new DataView(bytes).getUint32(54, true)).toBe(16);
});

import { expect, test } from 'vitest';
import type { CircuitLook, CircuitView } from '../contract';
import { Ahead } from '../install/ahead';

const look = (change: Partial<CircuitLook> = {}) => ({ volume: 10, tone: 10, blend: 0, selector: 'bridge', ...change }) as CircuitLook;
const view = (of: CircuitLook) => ({ look: of }) as CircuitView;

/** What was asked for, in order; answers as long as `answering` says so. */
function bench(answering: (asked: number) => boolean = () => true): { ahead: Ahead; asked: [number, number][] } {
  const asked: [number, number][] = [];
  const ahead = new Ahead(async (one) => {
    asked.push([one.volume, one.tone]);
    if (!answering(asked.length)) throw new Error('away');
    return view(one);
  });
  return { ahead, asked };
}

test('each knob alone is asked for, wherever it goes, the nearest first', async () => {
  const { ahead, asked } = bench();
  await ahead.from(look({ volume: 5 }), view(look({ volume: 5 })), ['volume', 'tone']);
  expect(asked.slice(0, 5)).toEqual([[4.75, 10], [5.25, 10], [5, 9.75], [4.5, 10], [5.5, 10]]);
  expect(asked.length).toBe(80);
  expect(new Set(asked.map(String)).size).toBe(80);
  for (let at = 0; at <= 10; at += 0.25) {
    expect(ahead.at(look({ volume: at }))?.look.volume).toBe(at);
    expect(ahead.at(look({ volume: 5, tone: at }))?.look.tone).toBe(at);
  }
  expect(ahead.at(look({ volume: 4, tone: 4 }))).toBeNull();
  expect(ahead.at(look({ selector: 'neck' }))).toBeNull();
});

test('what is here is not asked for again, and what no knob comes to from here is let go', async () => {
  const { ahead, asked } = bench();
  await ahead.from(look(), view(look()), ['volume', 'tone']);
  const before = asked.length;
  await ahead.from(look({ volume: 3 }), view(look({ volume: 3 })), ['volume', 'tone']);
  expect(asked.slice(before).every(([volume, tone]) => volume === 3 && tone !== 10)).toBe(true);
  expect(asked.length - before).toBe(40);
  expect(ahead.at(look({ tone: 2 }))).toBeNull();
});

test('once something moves no more is fetched, and without an answer neither', async () => {
  const { ahead, asked } = bench((count) => {
    if (count === 3) ahead.stop();
    return true;
  });
  await ahead.from(look(), view(look()), ['volume']);
  expect(asked.length).toBe(3);
  expect(ahead.at(look({ volume: 9.5 }))).not.toBeNull();
  expect(ahead.at(look({ volume: 9.25 }))).toBeNull();

  const away = bench((count) => count < 3);
  await away.ahead.from(look(), view(look()), ['volume']);
  expect(away.asked.length).toBe(3);
  away.ahead.forget();
  expect(away.ahead.at(look())).toBeNull();
});

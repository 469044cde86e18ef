import { expect, test } from 'vitest';
import { grown, type Area, type Word } from '../pictures/letters';

const area = (left: number, top: number, right: number, bottom: number): Area => ({ left, top, right, bottom });
const FRAME = area(0, 0, 360, 200);
/** Words that begin at a point, on a line 14 high. */
const word = (x: number, y: number, long: number, held = false): Word => ({ area: area(x, y - 11, x + long, y + 3), at: [x, y], held });
const covers = ({ area: { left, right }, at: [x] }: Word, by: number): [number, number] => [x + (left - x) * by, x + (right - x) * by];

test('letters with room grow as far as those of the page', () => {
  expect(grown([word(20, 60, 40), word(200, 60, 40)], [], FRAME, 2)).toEqual([2, 2]);
});

test('words never run into each other, out of the drawing, or into what they did not lie on', () => {
  const [first, second] = [word(20, 60, 60), word(100, 60, 60)];
  const [one = 0, other = 0] = grown([first, second], [], FRAME, 2);
  expect(one).toBeGreaterThan(1.2);
  expect(covers(first, one)[1]).toBeLessThan(100.01);
  expect(other).toBe(2);

  const [atEdge = 0] = grown([word(300, 60, 40)], [], FRAME, 2);
  expect(atEdge).toBeGreaterThan(1.3);
  expect(atEdge).toBeLessThan(1.51);

  const line = area(90, 0, 92, 200);
  const [beside = 0] = grown([word(20, 60, 50)], [line], FRAME, 2);
  expect(covers(word(20, 60, 50), beside)[1]).toBeLessThan(90.01);
  expect(grown([word(70, 60, 50)], [line], FRAME, 2)).toEqual([2]);
});

test('words on a part stay as large as the part allows', () => {
  expect(grown([word(20, 60, 40, true)], [], FRAME, 2)).toEqual([1]);
});

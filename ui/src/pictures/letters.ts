// Letters in drawings grow with those of the page, as far as nothing runs into anything.

import type { TextSize } from '../preferences.svelte';

export interface Area {
  left: number;
  top: number;
  right: number;
  bottom: number;
}

/** Words in a drawing: what they cover now, and the point that stays where it is when they grow. */
export interface Word {
  area: Area;
  at: readonly [number, number];
  /** They lie on something that is no larger than they are. */
  held: boolean;
}

const STEP = 0.05;
/** In a picture as small as that nobody reads words, in pixels. */
const MARK = 160;

const sized = ({ area, at: [x, y] }: Word, by: number): Area => ({
  left: x + (area.left - x) * by,
  top: y + (area.top - y) * by,
  right: x + (area.right - x) * by,
  bottom: y + (area.bottom - y) * by,
});
const meet = (one: Area, other: Area): boolean =>
  one.left < other.right && other.left < one.right && one.top < other.bottom && other.top < one.bottom;
const within = (one: Area, frame: Area): boolean =>
  one.left >= frame.left && one.top >= frame.top && one.right <= frame.right && one.bottom <= frame.bottom;

/** How much larger each of the words can be drawn, up to what is wanted: in the frame, clear of each other and of every shape
 *  that they do not lie on already. */
export function grown(words: readonly Word[], shapes: readonly Area[], frame: Area, wanted: number): number[] {
  const by = words.map(() => 1);
  const areas = words.map(({ area }) => area);
  const clear = words.map(({ area }) => shapes.filter((shape) => !meet(area, shape)));
  const growing = new Set(words.flatMap(({ held }, index) => (held ? [] : [index])));
  for (let next = 1 + STEP; growing.size > 0; next += STEP) {
    const to = Math.min(next, wanted);
    // All grow by a step before any grows by two.
    for (const index of growing) {
      const word = words[index];
      if (word === undefined) continue;
      const area = sized(word, to);
      const fits =
        within(area, frame) &&
        !areas.some((other, at) => at !== index && meet(area, other)) &&
        !(clear[index] ?? []).some((shape) => meet(area, shape));
      if (fits) {
        by[index] = to;
        areas[index] = area;
      }
      if (!fits || to >= wanted) growing.delete(index);
    }
  }
  return by;
}

/** How much larger than usual the letters of the page are. */
function lettersOfPage(): number {
  return parseFloat(getComputedStyle(document.documentElement).fontSize) / 16;
}

/** Draws the words of a drawing as large as they can be, up to the letters of the page. Answers whether all of them are. */
function growLetters(drawing: SVGSVGElement, wanted: number): boolean {
  const texts = [...drawing.querySelectorAll<SVGTextElement>('text')];
  for (const text of texts) text.style.fontSize = '';
  if (wanted <= 1 || texts.length === 0) return true;
  const frame = drawing.getBoundingClientRect();
  // It is folded away, and is looked at again when it shows; or it is a small mark in a list.
  if (frame.width < MARK) return true;
  const shapes = [...drawing.querySelectorAll<SVGGraphicsElement>('path, rect, circle, ellipse, line, polyline, polygon')].map((one) => one.getBoundingClientRect());
  const words = texts.map((text): Word => {
    const turn = text.getScreenCTM();
    const [x, y] = [text.x.baseVal, text.y.baseVal].map((all) => (all.numberOfItems > 0 ? all.getItem(0).value : 0)) as [number, number];
    const at: [number, number] = turn === null ? [0, 0] : [turn.a * x + turn.c * y + turn.e, turn.b * x + turn.d * y + turn.f];
    return { area: text.getBoundingClientRect(), at, held: text.classList.contains('on-case') || turn === null };
  });
  const by = grown(words, shapes, frame, wanted);
  const sizes = texts.map((text) => parseFloat(getComputedStyle(text).fontSize));
  texts.forEach((text, index) => {
    const more = by[index] ?? 1;
    if (more > 1) text.style.fontSize = `${(sizes[index] ?? 14) * more}px`;
  });
  return by.every((more) => more >= wanted);
}

/** What changes where words and shapes stand. */
const PLACES = ['x', 'y', 'd', 'points', 'width', 'height', 'cx', 'cy', 'transform'];

/** Keeps the words of a drawing as large as they can be, whatever is drawn; tells whether all are as large as those of the page. */
export function growing(drawing: SVGSVGElement, size: TextSize, ontold?: (all: boolean) => void): () => void {
  let soon = 0;
  const look = (): void => {
    cancelAnimationFrame(soon);
    soon = requestAnimationFrame(() => {
      const all = growLetters(drawing, lettersOfPage());
      ontold?.(all);
    });
  };
  look();
  // Letters of the usual size are drawn as they are.
  if (size === 'usual') return () => cancelAnimationFrame(soon);
  const shown = new ResizeObserver(look);
  shown.observe(drawing);
  const drawn = new MutationObserver(look);
  drawn.observe(drawing, { childList: true, characterData: true, subtree: true, attributeFilter: PLACES });
  return () => {
    cancelAnimationFrame(soon);
    shown.disconnect();
    drawn.disconnect();
  };
}

import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { answeredInPlace, showEmpty, type Chosen } from '../answering';

/** A part of a page at this height; `null` where it is drawn no more. */
function part(top: number | null, inside: readonly Element[] = []): Element {
  const one = {
    isConnected: top !== null,
    getClientRects: () => (top === null ? [] : [{}]),
    getBoundingClientRect: () => ({ top, left: 0, width: 300, height: 48 }),
    contains: (other: unknown): boolean => other === one || inside.some((each) => each.contains(other as Node)),
  };
  return one as unknown as Element;
}

const choice = (control: Element, around: readonly Element[]): Chosen => ({ control, around, top: 400, scrolled: 0 });

beforeEach(() => {
  vi.stubGlobal('innerWidth', 390);
  vi.stubGlobal('innerHeight', 844);
  // Nothing lies over anything here.
  vi.stubGlobal('document', { elementFromPoint: () => ({ contains: () => true }) });
});
afterEach(() => void vi.unstubAllGlobals());

test('a choice that shows is answered where it was made, whatever else it changed', () => {
  const far = part(-900);
  expect(answeredInPlace(choice(part(400), []), [far])).toBe(true);
  expect(answeredInPlace(choice(part(1400), []), [far])).toBe(false);
});

test('what took the place of a question answers it; what changed elsewhere does not', () => {
  const line = part(420);
  const card = part(300, [line]);
  const gone = part(null);
  expect(answeredInPlace(choice(gone, [part(null), card]), [line, part(-900)])).toBe(true);
  expect(answeredInPlace(choice(gone, [part(null), part(300)]), [line])).toBe(false);
});

test('a button that waits brings to the empty field that is nearest to it', () => {
  class Field {
    isConnected = true;
    tabIndex = 0;
    focused = false;
    constructor(readonly value: string) {}
    matches = () => false;
    getClientRects = () => [{}];
    getBoundingClientRect = () => ({ top: 400, left: 0, width: 300, height: 48 });
    contains = () => true;
    focus = () => (this.focused = true);
  }
  vi.stubGlobal('HTMLElement', Field);
  const [elsewhere, filled, empty] = [new Field(''), new Field('6.66k'), new Field(' ')];
  const page = { parentElement: null, querySelectorAll: () => [elsewhere, filled, empty] };
  const card = { parentElement: page, querySelectorAll: () => [filled, empty] };
  const row = { parentElement: card, querySelectorAll: () => [] };
  showEmpty({ parentElement: row } as unknown as Element);
  expect([elsewhere, filled, empty].map((one) => one.focused)).toEqual([false, false, true]);
  showEmpty({ parentElement: row } as unknown as Element, 'input');
  expect(filled.focused).toBe(true);
});

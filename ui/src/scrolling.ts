// Scrolls back to where a page was left. What it shows comes later than its heading, so this waits until the page is
// long enough again, and gives up as soon as the person does something or a second has gone by.

import { whenHandsOn } from './hands';

const PATIENCE = 1000;

let stop: () => void = () => undefined;

/** Scrolls to this height, in CSS pixels, as soon as it can be reached. 0 is at once. */
export function scrollBackTo(height: number): void {
  stop();
  scrollTo(0, height);
  if (height === 0) return;
  const grown = new ResizeObserver(() => {
    if (document.documentElement.scrollHeight - innerHeight < height) return;
    scrollTo(0, height);
    stop();
  });
  const timer = setTimeout(() => stop(), PATIENCE);
  const hands = whenHandsOn(() => stop());
  stop = () => {
    grown.disconnect();
    clearTimeout(timer);
    hands();
    stop = () => undefined;
  };
  grown.observe(document.body);
}

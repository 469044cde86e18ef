// Scrolls back to where a page was left. What it shows comes later than its heading, so this waits until the page is
// long enough again, and gives up as soon as the person does something or a second has gone by.

const PATIENCE = 1000;
const HANDS_ON = ['wheel', 'touchstart', 'pointerdown', 'keydown'] as const;

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
  stop = () => {
    grown.disconnect();
    clearTimeout(timer);
    for (const one of HANDS_ON) removeEventListener(one, stop);
    stop = () => undefined;
  };
  for (const one of HANDS_ON) addEventListener(one, stop, { passive: true });
  grown.observe(document.body);
}

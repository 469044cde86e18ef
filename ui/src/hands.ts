// Tells when somebody does the next thing: what a page still meant to do for the last one is called off then.

const HANDS_ON = ['wheel', 'touchstart', 'pointerdown', 'keydown'] as const;

/** Calls this once, at the next touch, key or turn of a wheel. What it answers stops waiting for that. */
export function whenHandsOn(act: () => void): () => void {
  const stop = (): void => {
    for (const one of HANDS_ON) removeEventListener(one, once);
  };
  const once = (): void => {
    stop();
    act();
  };
  for (const one of HANDS_ON) addEventListener(one, once, { passive: true });
  return stop;
}

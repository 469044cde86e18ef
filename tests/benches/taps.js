// Runs before the pages do: times every tap, from the finger's lifting to the frames in which the first and the last of
// what it changes are drawn. A tap is over when nothing is being asked and the document has been still for a while, or at the next tap.
globalThis.measured = {
  taps: [],
  events: [],
  scripts: () =>
    performance
      .getEntriesByType('resource')
      .map((one) => new URL(one.name).pathname)
      .filter((path) => path.endsWith('.js')),
};
{
  const STILL = 150;
  // The journeys mark what they are going to tap.
  const MARKS = new Set(['data-here', 'data-read', 'id']);
  let tap = null;
  let asking = 0;
  let frame = false;

  const draw = () => {
    if (tap === null || frame) return;
    frame = true;
    const mine = tap;
    requestAnimationFrame(() => {
      frame = false;
      const after = new MessageChannel();
      after.port1.onmessage = () => {
        mine.drawn = performance.now();
        if (mine.changes > 0 && mine.first === 0) mine.first = mine.drawn;
      };
      after.port2.postMessage(null);
    });
  };
  const over = () => {
    if (tap !== null && tap.drawn > 0) {
      // What changes nothing in the document, as the ring of a radio, is on the screen with the next frame.
      const first = tap.first > 0 ? tap.first : tap.drawn;
      measured.taps.push({ first: first - tap.at, all: tap.drawn - tap.at, on: tap.on });
    }
    tap = null;
  };
  const look = () => {
    if (tap !== null && asking === 0 && performance.now() - Math.max(tap.changed, tap.at) > STILL) over();
  };

  const plain = globalThis.fetch;
  globalThis.fetch = (...what) => {
    asking += 1;
    return plain(...what).finally(() => (asking -= 1));
  };
  addEventListener(
    'pointerup',
    (event) => {
      over();
      const on = event.target.closest('button, a, label, summary, input');
      tap = { at: event.timeStamp, changed: event.timeStamp, drawn: 0, first: 0, changes: 0, on: (on ?? event.target).textContent.trim().slice(0, 40) };
      draw();
    },
    { capture: true },
  );
  new MutationObserver((changes) => {
    if (tap === null || changes.every((one) => MARKS.has(one.attributeName))) return;
    tap.changed = performance.now();
    tap.changes += 1;
    draw();
  }).observe(document, { childList: true, subtree: true, attributes: true, characterData: true });
  setInterval(look, 30);

  // By interaction: the slowest of the events that one tap makes.
  const slowest = new Map();
  new PerformanceObserver((list) => {
    for (const { interactionId, duration, name } of list.getEntries()) {
      if (interactionId > 0 && !name.startsWith('key')) slowest.set(interactionId, Math.max(slowest.get(interactionId) ?? 0, duration));
    }
    measured.events = [...slowest.values()];
  }).observe({ type: 'event', durationThreshold: 16, buffered: true });
}

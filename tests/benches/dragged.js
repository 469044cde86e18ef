// Runs before the pages do: times every turn of a knob, from the pointer's moving to the frame in which the curve of where the knob
// then stands is drawn. Where the pointer was quicker than the curve, only what was drawn counts.
globalThis.dragged = [];
{
  const turned = new Map();
  addEventListener(
    'input',
    (event) => {
      if (event.target.closest('.knob') !== null) turned.set(event.target.value, event.timeStamp);
    },
    { capture: true },
  );
  new MutationObserver(() => {
    const drawn = document.querySelector('[data-circuit]')?.dataset.drawn;
    const at = turned.get(drawn);
    if (at === undefined) return;
    turned.delete(drawn);
    requestAnimationFrame(() => {
      const after = new MessageChannel();
      after.port1.onmessage = () => dragged.push(performance.now() - at);
      after.port2.postMessage(null);
    });
  }).observe(document, { subtree: true, attributes: true, attributeFilter: ['data-drawn'] });
}

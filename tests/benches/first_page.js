// Runs before the pages do: presses the first button of the Bench page as soon as it is there, and notes when it was
// drawn and when the answer was.
globalThis.measured = {};
{
  // After the frame that shows what is in the document now.
  const drawn = (then) =>
    requestAnimationFrame(() => {
      const after = new MessageChannel();
      after.port1.onmessage = () => then(performance.now());
      after.port2.postMessage(null);
    });
  let pressed = false;
  new MutationObserver((_, observer) => {
    const button = document.querySelector('main button:not([disabled])');
    if (!pressed && button !== null) {
      pressed = true;
      drawn((at) => (measured.there = at));
      button.click();
    } else if (pressed && document.querySelector('[data-step=choose] h1') !== null) {
      observer.disconnect();
      drawn((at) => (measured.answered = at));
    }
  }).observe(document, { childList: true, subtree: true, attributes: true });
}

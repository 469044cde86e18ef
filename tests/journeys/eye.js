// What an eye sees within the window, and whether a tap changes any of it: words and how controls and drawings look, each with
// its place. What lies under a bar or out of the window is not seen.
globalThis.eye = (() => {
  /** Nothing is asked and nothing has changed for so long, in milliseconds. */
  const STILL = 50;
  /** What comes later than this is no answer to a tap, also on a machine that is busy; how fast one comes is measured elsewhere. */
  const PATIENCE = 5000;
  let asking = 0;
  let changed = performance.now();
  /** The tap was answered by something that is no part of the page: a printer, a list of files. */
  let outside = false;
  const touch = () => { changed = performance.now(); };

  const plain = globalThis.fetch;
  globalThis.fetch = (...what) => {
    asking += 1;
    return plain(...what).finally(() => { asking -= 1; touch(); });
  };
  globalThis.print = () => { outside = true; };
  HTMLInputElement.prototype.click = () => { outside = true; };
  HTMLAnchorElement.prototype.click = () => { outside = true; };
  /** Where something was said during the tap: a result that is the same as before is said again. */
  const said = new Set();
  new MutationObserver((records) => {
    touch();
    for (const { target } of records) {
      const at = (target instanceof Element ? target : target.parentElement)?.closest('[role="alert"], [role="status"], [aria-live="polite"]');
      if (at) said.add(at);
    }
  }).observe(document, { childList: true, subtree: true, attributes: true, characterData: true });
  addEventListener('scroll', touch, { capture: true, passive: true });

  const within = (value, most) => Math.min(Math.max(value, 1), most - 1);
  const seen = (box, element) => {
    if (box.width <= 0 || box.height <= 0 || box.bottom <= 0 || box.top >= innerHeight || box.right <= 0 || box.left >= innerWidth) return false;
    const top = document.elementFromPoint(within(box.left + box.width / 2, innerWidth), within(box.top + box.height / 2, innerHeight));
    return top !== null && (element.contains(top) || top.contains(element));
  };
  const LOOKS = 'button, a, label, input, textarea, select, summary, .card, .panel, svg *';

  /** A line for everything that is seen. */
  const picture = () => {
    const lines = new Set();
    const range = document.createRange();
    const words = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = words.nextNode(); node !== null; node = words.nextNode()) {
      const text = node.data.trim();
      if (text === '' || node.parentElement.closest('.unseen, script, style') !== null) continue;
      range.selectNodeContents(node);
      const box = range.getBoundingClientRect();
      if (seen(box, node.parentElement)) lines.add(`${Math.round(box.left)} ${Math.round(box.top)} ${text}`);
    }
    for (const one of document.querySelectorAll(LOOKS)) {
      const box = one.getBoundingClientRect();
      if (one.closest('.unseen') !== null || !seen(box, one)) continue;
      const { backgroundColor, borderColor, color, fill } = getComputedStyle(one);
      const typed = one.matches('input, textarea, select') ? `${one.value} ${one.checked}` : '';
      const place = [box.left, box.top, box.width, box.height].map(Math.round).join(' ');
      lines.add([one.localName, place, backgroundColor, borderColor, color, fill, typed, one.getAttribute('d'), one.getAttribute('points')].join(' '));
    }
    // The ring round what the tap brought the focus to.
    const at = document.activeElement;
    if (at !== null && at !== document.body && at.matches(':focus-visible') && seen(at.getBoundingClientRect(), at)) lines.add(`focus ${nameOf(at)}`);
    return lines;
  };
  const alike = (one, other) => one.size === other.size && [...one].every((line) => other.has(line));

  /** Waits until the page has come to rest; one that never does is not waited for. */
  const still = () => new Promise((done) => {
    const begun = performance.now();
    const look = () => {
      const now = performance.now();
      if ((asking === 0 && now - Math.max(changed, begun) > STILL) || now - begun > PATIENCE) done(true);
      else setTimeout(look, 10);
    };
    look();
  });
  const later = (time) => new Promise((done) => setTimeout(done, time));

  const nameOf = (one) => (one.getAttribute('aria-label') ?? one.textContent.trim().replace(/\s+/g, ' ').slice(0, 60)) || one.querySelector('[aria-label]')?.getAttribute('aria-label') || one.outerHTML.slice(0, 80);
  /** `Strike out: …` is one kind, whatever is struck out. */
  const kindOf = (one) => nameOf(one).split(/[:,]/)[0];
  /** What can be tapped now. One that is chosen already has nothing to change; keys have a walk of their own. */
  const open = (words) =>
    [...document.querySelectorAll(words === '' ? 'button, summary' : 'button:not(.quiet)')].filter(
      (one) => !one.disabled && one.checkVisibility({ visibilityProperty: true }) && !one.matches('.key, .skip, [aria-pressed="true"]'),
    );

  /** Writes something into every empty field that is shown. */
  const type = (words) => {
    [...document.querySelectorAll('main input.box, main textarea.box')].forEach((one, index) => {
      if (one.value !== '' || !one.checkVisibility()) return;
      one.value = words === 'values' ? (one.localName === 'textarea' ? `Some words ${index}` : String(3 + index)) : 'six or so';
      one.dispatchEvent(new Event('input', { bubbles: true }));
    });
  };

  const tapped = new Set();
  /** Taps the next control of this page that was not tapped yet. Answers its name and whether nothing was seen of it; null at the end. */
  const next = async (route, words) => {
    document.querySelector('dialog[open]')?.close();
    if (location.hash !== route) {
      location.hash = route;
      await later(30);
    }
    await still();
    if (words !== '') {
      type(words);
      await still();
    }
    const count = new Map();
    const one = open(words).find((each) => {
      const name = kindOf(each);
      const number = (count.get(name) ?? 0) + 1;
      count.set(name, number);
      // The third of a kind does what the first two do.
      return number <= 2 && !tapped.has(`${route} ${words} ${name} ${number}`);
    });
    if (one === undefined) return null;
    const name = kindOf(one);
    const number = count.get(name);
    // What comes later pushes it aside.
    for (let begun = performance.now(); performance.now() - begun < PATIENCE; ) {
      one.scrollIntoView({ block: 'center', behavior: 'instant' });
      await still();
      if (!one.isConnected || seen(one.getBoundingClientRect(), one)) break;
    }
    // The page drew another in its place, as it came: that one is tapped.
    if (!one.isConnected) return next(route, words);
    tapped.add(`${route} ${words} ${name} ${number}`);
    outside = false;
    one.focus({ preventScroll: true });
    const before = picture();
    said.clear();
    one.click();
    for (let begun = performance.now(); performance.now() - begun < PATIENCE; await later(100)) {
      await still();
      // While the bench is asked, on a machine that is busy, the page has not answered yet.
      if (asking > 0) begun = performance.now();
      if (outside || location.hash !== route || !alike(before, picture()) || [...said].some((at) => at.textContent.trim() !== '' && seen(at.getBoundingClientRect(), at))) return { name, nothing: false };
    }
    return { name, nothing: true, top: Math.round(one.getBoundingClientRect().top) };
  };
  return { next };
})();

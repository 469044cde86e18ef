// Measures a page as it is laid out now: words broken inside, words or controls that lie over each other or run out of their box,
// and keys that are too small. Answers the troubles, each as a sentence.
globalThis.measure = (() => {
  const LEAST = 48;
  /** Less than this is rounding, in CSS pixels. */
  const SLIGHT = 1.5;
  /** The margins of a page and of a card, both sides: no word can be given more room than the window without them. */
  const MARGINS = 56;

  const hidden = (element) => element.closest('.unseen, datalist, [aria-hidden="true"].unseen, dialog:not([open])') !== null;
  const drawn = (box) => box.width > 0.5 && box.height > 0.5;
  const named = (element) => (element.getAttribute('aria-label') ?? element.textContent ?? '').trim().replace(/\s+/g, ' ').slice(0, 40) || element.localName;
  const across = (one, other) =>
    Math.min(Math.min(one.right, other.right) - Math.max(one.left, other.left), Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top));

  /** The lines of a drawing stand as near to each other as their letters allow: what is above and below those is air. */
  const inked = ({ left, right, top, bottom }) => ({ left, right, top: top + (bottom - top) * 0.2, bottom: bottom - (bottom - top) * 0.2 });
  /** Every run of words that is drawn, with its boxes line by line. */
  const runs = () => {
    const found = [];
    const range = document.createRange();
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walk.nextNode(); node !== null; node = walk.nextNode()) {
      if (node.data.trim() === '' || node.parentElement.closest('script, style, option') !== null || hidden(node.parentElement)) continue;
      range.selectNodeContents(node);
      const boxes = [...range.getClientRects()].filter(drawn);
      if (boxes.length > 0) found.push({ node, boxes, parent: node.parentElement });
    }
    return found;
  };

  const broken = (all, troubles) => {
    const range = document.createRange();
    for (const { node, boxes, parent } of all) {
      if (boxes.length < 2 || parent.closest('svg, [data-anywhere]') !== null) continue;
      // A word may be broken after a hyphen, a stroke or a dash of its own.
      for (const { 0: word, index } of node.data.matchAll(/[^\s\-/–—…±(\u200b·]{2,}/g)) {
        range.setStart(node, index);
        range.setEnd(node, index + word.length);
        const lines = [...range.getClientRects()].filter(drawn);
        if (lines.length < 2 || lines.every((line) => Math.abs(line.top - lines[0].top) < 3)) continue;
        if (lines.reduce((sum, line) => sum + line.width, 0) > innerWidth - MARGINS) continue;
        troubles.push(`“${word}” is broken inside, in ${parent.localName}.${parent.classList[0] ?? ''}`);
      }
    }
  };

  // Both lists from the top down: only neighbours are compared.
  const overlaps = (boxes, alike, say) => {
    boxes.sort((one, other) => one.box.top - other.box.top);
    for (let index = 0; index < boxes.length; index += 1) {
      for (let next = index + 1; next < boxes.length && boxes[next].box.top < boxes[index].box.bottom - SLIGHT; next += 1) {
        if (across(boxes[index].box, boxes[next].box) > SLIGHT && !alike(boxes[index], boxes[next])) say(boxes[index], boxes[next]);
      }
    }
  };

  const all = () => {
    const troubles = [];
    const words = runs();
    broken(words, troubles);
    overlaps(
      words.flatMap(({ boxes, parent }) => boxes.map((box) => ({ box: parent.closest('svg') === null ? box : inked(box), parent }))),
      (one, other) => one.parent === other.parent || one.parent.contains(other.parent) || other.parent.contains(one.parent),
      (one, other) => troubles.push(`“${named(one.parent)}” lies over “${named(other.parent)}”`),
    );
    const controls = [...document.querySelectorAll('button, a, input, textarea, select, summary, label.option, label.toggle, .steps label')].filter((one) => !hidden(one) && drawn(one.getBoundingClientRect()));
    overlaps(
      controls.map((parent) => ({ parent, box: parent.getBoundingClientRect() })),
      (one, other) => one.parent.contains(other.parent) || other.parent.contains(one.parent),
      (one, other) => troubles.push(`control “${named(one.parent)}” lies over “${named(other.parent)}”`),
    );
    for (const { boxes, parent } of words) {
      const box = parent.closest('button, .button, label.option, label.toggle, .card, .panel, summary')?.getBoundingClientRect();
      const rolls = parent.closest('[data-rolls], nav ol, .wide-table, svg') !== null;
      for (const line of boxes) {
        if (rolls) continue;
        if (line.right > document.documentElement.clientWidth + SLIGHT || line.left < -SLIGHT) troubles.push(`“${named(parent)}” runs out of the window`);
        else if (box !== undefined && (line.right > box.right + SLIGHT || line.left < box.left - SLIGHT || line.bottom > box.bottom + 4 || line.top < box.top - 4)) troubles.push(`“${named(parent)}” runs out of its box`);
      }
    }
    for (const key of document.querySelectorAll('.key')) {
      const { width, height } = key.getBoundingClientRect();
      if (drawn({ width, height }) && Math.min(width, height) < LEAST - 0.5) troubles.push(`key “${named(key)}” is ${Math.round(width)} x ${Math.round(height)} px`);
    }
    for (const box of document.querySelectorAll('[type="checkbox"]')) {
      const { width, height } = box.getBoundingClientRect();
      if (drawn({ width, height }) && getComputedStyle(box).opacity !== '0' && Math.abs(width - height) > SLIGHT) troubles.push(`the box of “${named(box.closest('label') ?? box)}” is squeezed: ${Math.round(width)} x ${Math.round(height)} px`);
    }
    for (const list of document.querySelectorAll('select')) {
      const { width } = list.getBoundingClientRect();
      // A few letters of what is chosen, beside the arrow of the list.
      const least = 3.5 * Number.parseFloat(getComputedStyle(list).fontSize);
      if (width > 0.5 && width < least) troubles.push(`the list “${named(list)}” is ${Math.round(width)} px wide, which shows no word`);
    }
    if (document.documentElement.scrollWidth > document.documentElement.clientWidth + 1) troubles.push('the page is wider than the window');
    return [...new Set(troubles)];
  };

  /** All letter sizes, both hands, light and dark at this width. Only the first setting that shows a trouble names it. */
  const settings = () => {
    const look = document.documentElement.dataset;
    const before = { ...look };
    const found = new Map();
    let looks = 0;
    for (const text of ['usual', 'large', 'larger', 'largest']) {
      for (const hand of ['right', 'left']) {
        for (const theme of ['light', 'dark']) {
          Object.assign(look, { text, hand, theme });
          looks += 1;
          for (const trouble of all()) if (!found.has(trouble)) found.set(trouble, `${text}, ${hand}, ${theme}`);
        }
      }
    }
    Object.assign(look, before);
    return { looks, troubles: [...found].map(([trouble, at]) => `${at}: ${trouble}`) };
  };
  /** Opens whatever is folded away, and lets bars lie where they stand in the page. */
  const lay = () => {
    document.querySelectorAll('details').forEach((one) => { one.open = true; });
    for (const one of document.body.querySelectorAll('*')) if (getComputedStyle(one).position === 'sticky') one.style.position = 'static';
  };
  return { all, settings, lay };
})();

// How long a page is, in windows: all of it; from the first control of what is to be done here to the last, with the bar; and the bars.
const fixed = [...document.querySelectorAll('.next, .lines, body > * > nav')].filter((one) => ['sticky', 'fixed'].includes(getComputedStyle(one).position));
const bars = fixed.reduce((sum, one) => sum + one.offsetHeight, 0);
// Neither what leads elsewhere, nor what may hurt or holds, nor what is folded away is the act itself.
const BESIDE = '.top, nav, .cautions, .hold, .behind, .written, .next, .times, [data-aside], details:not([open])';
const main = document.querySelector('main') ?? document.body;
const places = [...main.querySelectorAll('button, input, textarea, select, a.button, label.option, label.toggle')]
  .filter((one) => one.checkVisibility() && one.closest(BESIDE) === null)
  .map((one) => one.getBoundingClientRect())
  .filter((box) => box.height > 0);
const top = Math.min(...places.map((box) => box.top));
const bottom = Math.max(...places.map((box) => box.bottom));
const bar = document.querySelector('.next')?.offsetHeight ?? 0;
return [document.documentElement.scrollHeight / innerHeight, places.length === 0 ? 0 : (bottom - top + bar) / innerHeight, bars / innerHeight];

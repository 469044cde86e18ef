// Brings what a tap came to beside the thumb. Whoever taps looks where the finger is: what the act changed has to be seen there,
// or it is brought there, takes the focus and so is said aloud.

/** What an act came to, in the order in which a person wants to know it. */
const ANSWERS = '[role="alert"], [data-answer], .hold, .verdict.bad';
/** An answer that came later than this is no news of a tap any more, in milliseconds. */
const LATE = 4000;
/** What changes beside every act, and is no answer to any. */
const ASIDE = '.unseen, [data-aside], nav';

/** What a person chose in, and what it stands in, from the inside out. */
export interface Chosen {
  control: Element;
  around: readonly Element[];
  /** Where it stood, and how far the page was scrolled. */
  top: number;
  scrolled: number;
}

/** What was chosen just now: an act that begins at once is its act. */
let chosen: Chosen | null = null;

function choosing({ target }: Event): void {
  if (!(target instanceof Element) || !target.matches('[type="radio"], [type="checkbox"], select')) return;
  const around: Element[] = [];
  for (let at = target.parentElement; at !== null && at.localName !== 'main'; at = at.parentElement) around.push(at);
  chosen = { control: target, around, top: target.getBoundingClientRect().top, scrolled: scrollY };
  setTimeout(() => (chosen = null));
}
if (typeof document !== 'undefined') document.addEventListener('change', choosing, true);

const drawn = (element: Element): boolean => element.isConnected && element.getClientRects().length > 0;

/** Whether it can be seen now: within the window, and under no bar. */
export function inView(element: Element): boolean {
  const box = element.getBoundingClientRect();
  const x = Math.min(Math.max(box.left + box.width / 2, 0), innerWidth - 1);
  // Its first lines are what is read.
  const y = box.top + Math.min(box.height / 2, 24);
  if (y < 0 || y >= innerHeight) return false;
  const top = document.elementFromPoint(x, y);
  return top !== null && (element.contains(top) || top.contains(element));
}

/** Brings an element into view, if it is not there, and gives it the focus. */
export function show(element: Element | null | undefined, block: ScrollLogicalPosition = 'center'): void {
  if (!(element instanceof HTMLElement) || !drawn(element)) return;
  if (!inView(element)) element.scrollIntoView({ block });
  if (element.tabIndex < 0 && !element.hasAttribute('tabindex')) element.tabIndex = -1;
  element.focus({ preventScroll: true });
}

/** The same for what this selector names, when the page has drawn what it draws now. */
export function showNext(selector: string, block: ScrollLogicalPosition = 'center'): void {
  requestAnimationFrame(() => show(document.querySelector(selector), block));
}

/** What the page says of a refusal is shown: the field at fault first. Answers whether the page says it anywhere. */
export function showRefusal(): boolean {
  const at = document.querySelector('main [aria-invalid="true"]') ?? document.querySelector('main [role="alert"].shown, main [data-refusal]');
  show(at);
  return at !== null;
}

/** What can be filled in, and what is chosen from. */
const FIELDS = '.box, [type="radio"]';

/** Whether nothing is said there yet: an empty field, or one of several choices of which none is made. */
function isEmpty(field: Element): boolean {
  if (field.matches('[type="radio"]')) return field.closest('fieldset')?.querySelector(':checked') === null;
  return (field as HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement).value.trim() === '';
}

/** What a button waits for is shown: the empty field that is nearest to it, or what is named, and is nearest to it. */
export function showEmpty(button: Element | undefined, named?: string): void {
  for (let around = button?.parentElement ?? null; around !== null; around = around.parentElement) {
    const there = [...around.querySelectorAll(named ?? FIELDS)].find((one) => drawn(one) && (named !== undefined || isEmpty(one)));
    if (there !== undefined) return show(there);
  }
}

/** Whether a choice shows where it was made what it came to: it is there, or what took its place is. */
export function answeredInPlace({ control, around }: Chosen, changed: readonly Element[]): boolean {
  if (control.isConnected) return drawn(control) && inView(control);
  const place = around.find((one) => one.isConnected);
  return place !== undefined && changed.some((one) => place.contains(one) && inView(one));
}

/** What came above pushes a choice away: it is brought back to where the thumb is. */
function holdStill({ control, top, scrolled }: Chosen): void {
  if (control.isConnected && drawn(control) && scrollY === scrolled && !inView(control)) scrollBy(0, control.getBoundingClientRect().top - top);
}

function bring(changed: ReadonlySet<Element>, own: Chosen | null): void {
  const said = [...changed].filter((one) => drawn(one) && one.textContent?.trim() !== '');
  // Who answers a question goes on beside it, whatever else the answer changed.
  if (own !== null) {
    holdStill(own);
    if (answeredInPlace(own, said)) return;
  }
  const beside = said.filter((one) => one.closest(ASIDE) === null);
  // Where nothing else tells of it, the line that was written does.
  const all = beside.length > 0 ? beside : said.filter((one) => one.closest('.unseen, nav') === null);
  const answers = [
    ...new Set(all.flatMap((one) => [one.closest(ANSWERS) ?? [], ...one.querySelectorAll(ANSWERS)].flat())),
  ].filter((one) => drawn(one) && one.textContent?.trim() !== '');
  const [first] = answers.length > 0 ? answers : all;
  if (first === undefined || (answers.length > 0 ? answers : all).some(inView)) return;
  show(first);
}

/** Does something; what it changed is brought into view where no part of that is. A page that is turned shows itself. */
export async function answered<Came>(act: () => Promise<Came>): Promise<Came> {
  if (typeof document === 'undefined') return act();
  const at = location.hash;
  const begun = performance.now();
  const own = chosen;
  const changed = new Set<Element>();
  const take = (records: readonly MutationRecord[]): void => {
    for (const { target, addedNodes } of records) {
      if (addedNodes.length === 0) changed.add(target instanceof Element ? target : (target.parentElement ?? document.body));
      for (const node of addedNodes) if (node instanceof Element) changed.add(node);
        else if (node.parentElement !== null && node.nodeType === Node.TEXT_NODE) changed.add(node.parentElement);
    }
  };
  const watch = new MutationObserver(take);
  watch.observe(document.querySelector('main') ?? document.body, { childList: true, characterData: true, subtree: true });
  try {
    return await act();
  } finally {
    requestAnimationFrame(() => {
      take(watch.takeRecords());
      watch.disconnect();
      if (location.hash === at && performance.now() - begun < LATE) bring(changed, own);
    });
  }
}

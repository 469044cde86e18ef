// One page writes at a time: whoever has the lock has the bench. Another one says so, and can take it over.

import { mount, unmount } from 'svelte';
import { door } from './door';
import Elsewhere from './Elsewhere.svelte';
import { keeping } from './keeping.svelte';

const LOCK = 'solderlast';
/** How a browser names what it can't do. */
const CANT_KEEP = 'NotSupportedError';
const NO_ROOM = 'This browser can’t keep a log in a page. Use a newer one, and no private window.';

/** Waits until this page has the bench, and begins it. Does not come back where it never has. */
export async function begin(): Promise<void> {
  if (!('locks' in navigator) || !('storage' in navigator) || !('getDirectory' in navigator.storage)) {
    show(NO_ROOM);
    await new Promise(() => undefined);
  }
  if (!(await have({ ifAvailable: true }))) {
    await new Promise<void>((taken) => show('Solderlast is open in another window of this browser. One at a time can write.', taken));
    await have({ steal: true });
  }
  keepDownloads();
  void door.begin().then(
    () => void keeping.begin(),
    (trouble: unknown) => {
      const cause = String(trouble);
      show(cause.includes(CANT_KEEP) ? NO_ROOM : `The log can’t be opened in this browser (${cause}). A private window can’t keep one.`);
    },
  );
}

/** Takes the lock, and holds it until another page takes it over. Answers whether it is had. */
function have(how: LockOptions): Promise<boolean> {
  return new Promise((answer) => {
    navigator.locks
      .request(LOCK, how, (lock) => {
        answer(lock !== null);
        // Held until this page is closed.
        return lock === null ? undefined : new Promise(() => undefined);
      })
      .catch(() => {
        door.end();
        show('Solderlast was opened in another window of this browser, which has the log now.', () => location.reload());
      });
  });
}

/** A file that the bench packs has no address here: a tap on its link fetches it, and keeps it as a download. */
function keepDownloads(): void {
  document.addEventListener('click', (event) => {
    const link = event.target instanceof Element ? event.target.closest('a') : null;
    const address = link?.getAttribute('href') ?? '';
    if (!address.startsWith('/bundle/') && !address.startsWith('/table/')) return;
    event.preventDefault();
    void (async () => {
      const given = await door.knock(address);
      if (!given.ok) return;
      const file = URL.createObjectURL(await given.blob());
      const name = /filename="([^"]*)"/.exec(given.headers.get('content-disposition') ?? '')?.[1] ?? '';
      const download = Object.assign(document.createElement('a'), { href: file, download: name });
      download.click();
      setTimeout(() => URL.revokeObjectURL(file), 60_000);
    })();
  });
}

/** Shows this in place of the pages. */
function show(sentence: string, take?: () => void): void {
  document.getElementById('app')?.remove();
  const target = document.createElement('div');
  document.body.append(target);
  const shown = mount(Elsewhere, {
    target,
    props: {
      sentence,
      ...(take === undefined
        ? {}
        : {
            take: () => {
              void unmount(shown);
              target.remove();
              take();
            },
          }),
    },
  });
}

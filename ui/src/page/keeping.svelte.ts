// Whether what is written here stays: what the browser promises, how much room is left, and newer versions of the pages.

/** Under this share of the room left, or so many bytes, it is nearly full. */
const LITTLE_SHARE = 0.1;
const LITTLE_BYTES = 50_000_000;
const HOUR = 3_600_000;

class Keeping {
  /** Whether the browser promised not to throw the log away; null until it has answered. */
  kept = $state<boolean | null>(null);
  used = $state(0);
  room = $state(0);
  /** A newer version of the pages is here, and waits. */
  newer = $state<ServiceWorker | null>(null);

  get nearlyFull(): boolean {
    const left = this.room - this.used;
    return this.room > 0 && (left < LITTLE_BYTES || left < LITTLE_SHARE * this.room);
  }

  /** Asks for what is to be had. */
  async begin(): Promise<void> {
    await this.ask();
    if ('serviceWorker' in navigator) await this.#version();
  }

  /** Asks the browser to keep the log, and how much room there is. */
  async ask(): Promise<void> {
    try {
      this.kept = (await navigator.storage.persisted()) || (await navigator.storage.persist());
      const { usage = 0, quota = 0 } = await navigator.storage.estimate();
      this.used = usage;
      this.room = quota;
    } catch {
      this.kept = false;
    }
  }

  /** Goes on with the newer version. */
  use(): void {
    const { newer } = this;
    if (newer === null) return;
    // Whichever is seen first: that it took over, or that this page is given out by it.
    const loaded = new AbortController();
    const load = (): void => {
      loaded.abort();
      location.reload();
    };
    navigator.serviceWorker.addEventListener('controllerchange', load, loaded);
    newer.addEventListener('statechange', () => newer.state === 'activated' && load(), loaded);
    newer.postMessage('go on');
  }

  async #version(): Promise<void> {
    try {
      const registered = await navigator.serviceWorker.register(new URL('sw.js', document.baseURI), { updateViaCache: 'none' });
      const look = (): void => {
        // The first one takes its place by itself.
        if (registered.waiting !== null && navigator.serviceWorker.controller !== null) this.newer = registered.waiting;
      };
      look();
      registered.addEventListener('updatefound', () => {
        registered.installing?.addEventListener('statechange', look);
      });
      setInterval(() => void registered.update().catch(() => undefined), HOUR);
    } catch {
      // Without it the pages are fetched each time; the log stays where it is.
    }
  }
}

export const keeping = new Keeping();

// Keeps the screen on while a person works with both hands. Where the device can't (a page over plain HTTP can't
// either), it goes dark as usual; nothing else changes.

let users = 0;
let lock: WakeLockSentinel | null = null;

async function take(): Promise<void> {
  if (users === 0 || lock !== null || document.visibilityState !== 'visible' || !('wakeLock' in navigator)) return;
  try {
    const taken = await navigator.wakeLock.request('screen');
    if (users === 0) {
      await taken.release();
      return;
    }
    lock = taken;
    taken.addEventListener('release', () => {
      lock = null;
    });
  } catch {
    // The battery is low, or the device says no.
  }
}

/** Keeps the screen on until the function it gives is called. The lock is taken again when the page is looked at again. */
export function stayAwake(): () => void {
  users += 1;
  if (users === 1) document.addEventListener('visibilitychange', take);
  void take();
  let held = true;
  return () => {
    if (!held) return;
    held = false;
    users -= 1;
    if (users > 0) return;
    document.removeEventListener('visibilitychange', take);
    void lock?.release().catch(() => undefined);
  };
}

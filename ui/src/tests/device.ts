// Storage as a browser has it, for tests that run without one.

import { vi } from 'vitest';

/** Storage that stays on the device, or that of one window. */
export function freshStorage(name: 'localStorage' | 'sessionStorage' = 'localStorage'): Storage {
  const kept = new Map<string, string>();
  const storage: Storage = {
    get length() {
      return kept.size;
    },
    key: (index) => [...kept.keys()][index] ?? null,
    getItem: (key) => kept.get(key) ?? null,
    setItem: (key, value) => void kept.set(key, value),
    removeItem: (key) => void kept.delete(key),
    clear: () => kept.clear(),
  };
  vi.stubGlobal(name, storage);
  return storage;
}

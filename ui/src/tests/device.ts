// Local storage as a browser has it, for tests that run without one.

import { vi } from 'vitest';

export function freshStorage(): Storage {
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
  vi.stubGlobal('localStorage', storage);
  return storage;
}

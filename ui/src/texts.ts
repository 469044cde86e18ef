// Lists of texts that are kept on this device.

/** The texts kept under this key; none where storage is off, or something else stands there. */
export function textsKept(key: string): string[] {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(key) ?? '[]');
    return Array.isArray(kept) ? kept.filter((one) => typeof one === 'string') : [];
  } catch {
    return [];
  }
}

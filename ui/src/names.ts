// Version-7 UUIDs (RFC 9562), made where `crypto.randomUUID` is missing too: a page that a phone loads over plain HTTP
// has only `crypto.getRandomValues`.

let lastTime = 0;
let count = 0;

/** A new name for an entry or a thing. Names made one after the other here sort in that order. */
export function newName(now: number = Date.now()): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  const at = (index: number): number => bytes[index] ?? 0;
  if (now > lastTime) {
    lastTime = now;
    // Half of the counter's room is left to count up in.
    count = ((at(6) & 0x07) << 8) | at(7);
  } else if (count < 0xfff) {
    count += 1;
  } else {
    lastTime += 1;
    count = 0;
  }
  // 48 bits of time do not fit a shift, which works on 32.
  let time = lastTime;
  for (let index = 5; index >= 0; index -= 1) {
    bytes[index] = time % 256;
    time = Math.floor(time / 256);
  }
  bytes[6] = 0x70 | (count >> 8);
  bytes[7] = count & 0xff;
  bytes[8] = 0x80 | (at(8) & 0x3f);
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}

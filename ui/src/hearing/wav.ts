// A recording as a file: WAV with samples of 32 bit in floating point, so that nothing of what came in is lost.

/** The head of such a file, for so many bytes of samples. */
export function wavHead(rate: number, channels: number, bytes: number): Uint8Array<ArrayBuffer> {
  const head = new DataView(new ArrayBuffer(58));
  const letters = (at: number, text: string): void => [...text].forEach((one, index) => head.setUint8(at + index, one.charCodeAt(0)));
  letters(0, 'RIFF');
  head.setUint32(4, 50 + bytes, true);
  letters(8, 'WAVEfmt ');
  head.setUint32(16, 18, true);
  head.setUint16(20, 3, true);
  head.setUint16(22, channels, true);
  head.setUint32(24, rate, true);
  head.setUint32(28, rate * channels * 4, true);
  head.setUint16(32, channels * 4, true);
  head.setUint16(34, 32, true);
  head.setUint16(36, 0, true);
  letters(38, 'fact');
  head.setUint32(42, 4, true);
  head.setUint32(46, bytes / 4 / Math.max(channels, 1), true);
  letters(50, 'data');
  head.setUint32(54, bytes, true);
  return new Uint8Array(head.buffer);
}

/** A whole file of these parts, in their order. */
export function wavOf(rate: number, channels: number, parts: readonly Blob[] | readonly ArrayBuffer[], name: string): File {
  const bytes = parts.reduce((sum, part) => sum + (part instanceof ArrayBuffer ? part.byteLength : part.size), 0);
  return new File([wavHead(rate, channels, bytes), ...parts], name, { type: 'audio/wav' });
}

// What lies at an address of the bench in the page: each that a computer answers, as it answers it.

/** A file that is given out, or the text of an answer. */
export interface Given {
  status: number;
  type: string;
  body: Blob | string;
  name?: string;
}

/** What of the bench is given out. */
export interface GivesOut {
  photo(name: string): Uint8Array<ArrayBuffer>;
  take_out(name: string): string;
  bundle_out(carry: string): string;
  next_part(out: number, most: number): Uint8Array<ArrayBuffer>;
  table(table: string, find: string): Uint8Array<ArrayBuffer> | undefined;
  stretch(take: string, start: number, length: number): Uint8Array<ArrayBuffer>;
  sweep(): Uint8Array<ArrayBuffer>;
  blind_sound(test: string, trial: number, sound: number): Uint8Array<ArrayBuffer>;
}

/** What is read of a file at a time, in bytes. */
export const PART = 4 * 1024 * 1024;

const nothing: Given = {
  status: 404,
  type: 'application/json',
  body: '{"refused":{"code":"not_here","sentence":"There is no such thing here.","field":null}}',
};

export const isRefusal = (text: string): boolean => text.startsWith('{"refused"');

function partAfterPart(here: GivesOut, answer: string, type: string): Given {
  if (isRefusal(answer)) return { ...nothing, body: answer };
  const { out, name } = JSON.parse(answer) as { out: number; name: string };
  const parts: Uint8Array<ArrayBuffer>[] = [];
  for (;;) {
    const part = here.next_part(out, PART);
    if (part.length === 0) break;
    parts.push(part);
  }
  return { status: 200, type, body: new Blob(parts, { type }), name };
}

function file(bytes: Uint8Array<ArrayBuffer> | undefined, type: string, name?: string): Given {
  if (bytes === undefined || bytes.length === 0) return nothing;
  if (bytes[0] === 0x7b) return { ...nothing, body: new TextDecoder().decode(bytes) };
  return { status: 200, type, body: new Blob([bytes], { type }), ...(name === undefined ? {} : { name }) };
}

/** What lies at this address. */
export function lying(here: GivesOut, path: string): Given {
  const { pathname, searchParams } = new URL(path, 'https://bench.invalid');
  const [, what, one = '', two = '', three = ''] = pathname.split('/');
  switch (what) {
    case 'photo':
      return file(here.photo(one), 'image/jpeg');
    case 'take':
      return partAfterPart(here, here.take_out(one), 'audio/flac');
    case 'bundle':
      return partAfterPart(here, here.bundle_out(one), 'application/zip');
    case 'table':
      return file(here.table(one, searchParams.get('find') ?? ''), 'text/csv; charset=utf-8; header=present', `${one}.csv`);
    case 'stretch':
      return file(here.stretch(one, Number(two), Number(three)), 'audio/wav');
    case 'sweep':
      return file(here.sweep(), 'audio/wav');
    case 'blind':
      return file(here.blind_sound(one, Number(two), Number(three)), 'audio/wav');
    default:
      return nothing;
  }
}

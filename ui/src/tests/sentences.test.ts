// Every sentence of the app, of the core and of the pages: listed, and free of words that only we would understand.
//
// VITE_SENTENCES=1 prints the list, to be read at a stretch.

import { parse } from 'svelte/compiler';
import { expect, test } from 'vitest';

const RUST = import.meta.glob<string>(
  ['../../../src-tauri/**/src/**/*.rs', '!**/testkit/**', '!**/tests/**', '!**/tests.rs', '!**/target/**'],
  { query: '?raw', import: 'default', eager: true },
);
const PAGES = import.meta.glob<string>('../**/*.svelte', { query: '?raw', import: 'default', eager: true });

/** Words that we used among ourselves, each beside what a guitarist says. */
const HOUSE_WORDS: [RegExp, string][] = [
  [/\bin ink\b/i, 'saved for good'],
  [/\bsenses?\b(?! is)/i, 'polarity'],
  [/\bin two taps\b/i, 'quick rating'],
  [/\bquestions? of the ear\b/i, 'listening question'],
  [/\bsay a word\b/i, 'warn me beyond'],
  [/\bgive a law\b/i, 'say what is worked out'],
  [/\ba wipe across\b/i, 'a swipe'],
  [/^paper$/i, 'theme'],
  [/^only some$/i, 'filter'],
  [/\blevel in front\b/i, 'tied for first'],
  [/\bmust be so\b/i, 'must-have'],
  [/\bof other gauges\b/i, 'different string gauges'],
  [/\bbalance\b[^.]* is another one\b/i, 'balance differently'],
  [/\bI know better\b/i, 'go on anyway'],
  [/\bhot and ground\b[^.]* about\b/i, 'swap hot and ground'],
  [/\bno an? /i, 'no'],
  [/\bnobody has written\b/i, 'not recorded yet'],
  [/\bside-by-side coils\b/i, 'humbucker'],
];
/** What is meant in the word's own sense, by its sentence. */
const MEANT = ['A coil senses', 'The length of string that a coil senses is from memory, a place to start; change it as you like.'];

/** The texts in a Rust file, without those in words for developers. */
export function textsInRust(source: string): string[] {
  const token = /\/\/[^\n]*|\/\*[\s\S]*?\*\/|'(?:\\.[^']*|[^'\\\n])'|r(#*)"([\s\S]*?)"\1|"((?:\\[\s\S]|[^"\\])*)"/g;
  const beforeTests = source.split(/#\[cfg\(test\)\]\s*mod /)[0] ?? '';
  return [...beforeTests.matchAll(token)].flatMap(([, , raw, plain]) => {
    const text = raw ?? plain?.replace(/\\\n\s*/g, '').replace(/\\(["\\])/g, '$1');
    return text === undefined ? [] : [text];
  });
}

/** The texts in a page: between its tags, and in what it hands to its parts. */
export function textsInPage(source: string): string[] {
  const found: string[] = [];
  const look = (node: unknown): void => {
    if (Array.isArray(node)) return node.forEach(look);
    if (typeof node !== 'object' || node === null) return;
    const { type, data, value } = node as { type?: string; data?: unknown; value?: unknown };
    if (type === 'Text' && typeof data === 'string') found.push(data.replace(/\s+/g, ' ').trim());
    if (type === 'Literal' && typeof value === 'string') found.push(value);
    if (type === 'TemplateElement') found.push((value as { cooked?: string }).cooked ?? '');
    for (const [name, child] of Object.entries(node)) if (!['css', 'comments', 'parent'].includes(name)) look(child);
  };
  look(parse(source, { modern: true }));
  return found;
}

/** Whether a person reads it: words with a space between, or one that begins with a capital. */
const isShown = (text: string): boolean => /^[A-Z{“][^_]*$/.test(text) || /[a-z]{2,} [a-z]{2,}/.test(text);

function sentences(): { text: string; file: string }[] {
  const among = (files: Record<string, string>, texts: (source: string) => string[]) =>
    Object.entries(files).flatMap(([file, source]) => texts(source).filter(isShown).map((text) => ({ text, file })));
  return [...among(RUST, textsInRust), ...among(PAGES, textsInPage)];
}

const isHouseWord = (text: string): boolean => !MEANT.includes(text) && HOUSE_WORDS.some(([word]) => word.test(text));

test('no sentence has a word that only we would understand', () => {
  const all = sentences();
  if (import.meta.env['VITE_SENTENCES'] !== undefined) console.info(all.map(({ text, file }) => `${file}\t${text}`).join('\n'));
  expect(all.length).toBeGreaterThan(2500);
  for (const sure of ['Guitar unplugged', 'Not recorded yet', 'Quick rating,']) expect(all.some(({ text }) => text.includes(sure)), sure).toBe(true);
  expect(all.filter(({ text }) => isHouseWord(text))).toEqual([]);
});

test('texts are found in a page and in the core', () => {
  const page = `<script lang="ts">const hint = 'Hold it still.'; // No word.\n</script>{#if hint}<p title="Ask {hint} first">Written, in\n ink</p>{/if}<style>p { color: red }</style>`;
  expect(textsInPage(page)).toEqual(expect.arrayContaining(['Hold it still.', 'Written, in ink', 'Ask']));
  expect(textsInPage(page).join()).not.toContain('No word');
  const rust = `/// Not "this".\nconst A: &str = "Its \\"sense\\" \\\n    is known."; let c = '"'; let b = r#"Raw "words""#;\n#[cfg(test)]\nmod tests { "Never" }`;
  expect(textsInRust(rust)).toEqual(['Its "sense" is known.', 'Raw "words"']);
});

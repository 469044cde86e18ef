import { expect, test } from 'vitest';

const FILES = import.meta.glob<string>(['../**/*.ts', '../**/*.svelte', '!./**'], {
  query: '?raw',
  import: 'default',
  eager: true,
});

/** The file that `file` names by `path`, as the bundler finds it; nothing for a package or a style sheet. */
function found(file: string, path: string): string | undefined {
  const parts = [...file.split('/').slice(0, -1), ...path.split('/')];
  const names: string[] = [];
  for (const part of parts) {
    if (part === '..' && names.length > 0 && names.at(-1) !== '..') names.pop();
    else if (part !== '.') names.push(part);
  }
  const name = names.join('/');
  return ['', '.ts', '.svelte', '/index.ts'].map((end) => name + end).find((whole) => whole in FILES);
}

/** What fetches parts of the pages when everything that asks for them is there already: its list is no import. */
const LATER = '../later.ts';

/** What each file takes from others: values and types. */
function imports(files: Readonly<Record<string, string>>): Map<string, string[]> {
  return new Map(
    Object.entries(files).map(([file, text]) => {
      const taken = file === LATER ? /\bfrom\s*'(\.[^']*)'/g : /\b(?:from|import)\s*\(?\s*'(\.[^']*)'/g;
      const paths = [...text.matchAll(taken)].map((one) => one[1] ?? '');
      return [file, paths.map((path) => found(file, path)).filter((other) => other !== undefined)];
    }),
  );
}

/** A way from a file back to itself; nothing when there is none. */
function cycle(graph: ReadonlyMap<string, readonly string[]>): string[] | null {
  const done = new Set<string>();
  const follow = (file: string, way: string[]): string[] | null => {
    const back = way.indexOf(file);
    if (back >= 0) return [...way.slice(back), file];
    if (done.has(file)) return null;
    for (const other of graph.get(file) ?? []) {
      const round = follow(other, [...way, file]);
      if (round !== null) return round;
    }
    done.add(file);
    return null;
  };
  for (const file of graph.keys()) {
    const round = follow(file, []);
    if (round !== null) return round;
  }
  return null;
}

test('no file imports itself by way of others, not by type alone either', () => {
  const graph = imports(FILES);
  expect(graph.size).toBeGreaterThan(100);
  expect([...graph.values()].flat().length).toBeGreaterThan(500);
  expect(cycle(graph)).toBeNull();
});

test('what is fetched later stands in one list', () => {
  const fetching = Object.entries(FILES).filter(([, text]) => /\bimport\s*\(\s*'\./.test(text));
  expect(fetching.map(([file]) => file)).toEqual([LATER]);
});

test('a cycle is found, and said as a way', () => {
  const graph = new Map([['a', ['b', 'c']], ['b', []], ['c', ['d']], ['d', ['c']]]);
  expect(cycle(graph)).toEqual(['c', 'd', 'c']);
});

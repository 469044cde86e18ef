// A button is never dead because something is not said yet: it says what is missing when it is tapped.

import { createRawSnippet } from 'svelte';
import { render } from 'svelte/server';
import { expect, test } from 'vitest';
import Button from '../parts/Button.svelte';

const FILES = import.meta.glob<string>('../**/*.svelte', { query: '?raw', import: 'default', eager: true });

/** What tells that something is not typed, not chosen or not done yet. */
const WAITS = /=== ''|\btrim\(|\bready\b|\bwaits\b|\bnext\b(?!\.)|\b(?:choice|place|onPickup|onGuitar|onRig) === null|\.(?:length|size) <(?!=)/;
/** A sound that is not loaded yet is nothing that somebody has left out. */
const LOADS = ['player.ready'];

test('no button is dead because a field is empty', () => {
  const dead = Object.entries(FILES).flatMap(([file, text]) =>
    [...text.matchAll(/disabled=\{([^}]*)\}/g)]
      .map((one) => one[1] ?? '')
      .filter((when) => WAITS.test(when) && !LOADS.some((one) => when.includes(one)))
      .map((when) => `${file}: ${when}`),
  );
  expect(Object.keys(FILES).length).toBeGreaterThan(100);
  expect(dead).toEqual([]);
});

test('a button that misses something can be tapped', () => {
  const children = createRawSnippet(() => ({ render: () => '<span>Write it down</span>' }));
  const { body } = render(Button, { props: { class: 'button', missing: 'Type what the meter shows.', onclick: () => undefined, children } });
  expect(body).toContain('<button');
  expect(body).not.toContain('disabled');
});

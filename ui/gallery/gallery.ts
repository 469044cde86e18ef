// Every part and every drawing on one page, to look at while working on them. Not built into the pages.

import '../src/look/tokens.css';
import '../src/look/base.css';
import '../src/look/drawings.css';
import { mount } from 'svelte';
import { chosen } from '../src/preferences.svelte';
import { carryBy } from '../src/transport';
import Gallery from './Gallery.svelte';

// The gallery has no bench. It says so in place of an answer, where a bench would say how something is understood.
carryBy(async () => JSON.stringify({ ok: { reply: 'understood', shown: 'as a bench understands it' } }));
await chosen.read();
const wanted = new URLSearchParams(location.search);
document.documentElement.dataset['theme'] = wanted.get('theme') ?? 'light';
document.documentElement.dataset['text'] = wanted.get('text') ?? 'usual';
document.documentElement.dataset['hand'] = wanted.get('hand') ?? 'right';
mount(Gallery, { target: document.body, props: { only: wanted.get('only') } });

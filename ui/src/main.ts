import './look/tokens.css';
import './look/base.css';
import './look/drawings.css';
import './look/print.css';
import { mount } from 'svelte';
import App from './App.svelte';
import { fetchDrafts } from './drafts.svelte';
import { knockBy } from './knock';
import { page } from './later';
import { chosen } from './preferences.svelte';
import { here } from './routes.svelte';
import { askOnce, carryBy, sendWaiting } from './transport';

async function start(): Promise<void> {
  await chosen.read();
  if (import.meta.env.MODE === 'page') {
    const { begin, door } = await page();
    carryBy((ask, has) => door.ask(ask, has));
    knockBy((address, init, onsent) => door.knock(address, init, onsent));
    await begin();
  }
  // The key of the printed address has done its work.
  if (location.hash.startsWith('#key=')) history.replaceState(null, '', location.pathname);
  // Opened without a page, the app opens where it was left.
  if (location.hash === '' && chosen.now.page !== '') history.replaceState(null, '', chosen.now.page);
  here.follow();
  // What is being typed has to be there before a field asks for it, but nobody waits long for another device's words. A bench of the
  // page's own has them all, and answers in turn: on the Bench page, which has no field, that page is asked for first.
  const later = import.meta.env.MODE === 'page' && here.route.page === 'bench';
  const drafts = later ? undefined : fetchDrafts();
  if (import.meta.env.MODE === 'page') await drafts;
  else await Promise.race([drafts, new Promise((resolve) => setTimeout(resolve, 600))]);
  const target = document.createElement('div');
  target.id = 'app';
  document.body.append(target);
  mount(App, { target });
  if (later) void fetchDrafts();
  void sendWaiting();
  // A day of hearing begins at this person's midnight, also when clocks change.
  const minutes_ahead = -new Date().getTimezoneOffset();
  const zone = new Intl.DateTimeFormat().resolvedOptions().timeZone ?? null;
  void askOnce({ ask: 'listener', rule: null, minutes_ahead, zone }, 'listener').catch(() => undefined);
}

void start();

// Leaving a form once it is written down, unless the person has left it already.

import { onDestroy } from 'svelte';
import { here, type Route } from '../routes.svelte';

/** To be called while a form's page is made; gives what leaves it. */
export function left(): (to: Exclude<Route, { page: 'nowhere' }>, fresh: boolean) => void {
  let gone = false;
  onDestroy(() => (gone = true));
  return (to, fresh) => {
    if (gone) return;
    // A changed record is behind the form already, or whatever page led to the form.
    if (fresh || here.changes === 0) here.replace(to);
    else history.back();
  };
}

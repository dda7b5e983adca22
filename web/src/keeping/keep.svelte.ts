// Ties a keeper to the component that shows its record.

import { untrack } from 'svelte';
import { Keeper, type Kept, type Send } from './keeper.svelte';

/**
 * For use while a component is set up: a keeper for the record that `record` gives, from the moment
 * it gives one. Sends what is open when the page is hidden or left, and tries again when the
 * browser is back on line.
 */
export function keep<T extends Kept>(
  kind: string,
  record: () => T | undefined,
  send: (id: string) => Send<T>,
): { readonly keeper: Keeper<T> | undefined } {
  let keeper = $state.raw<Keeper<T> | undefined>();
  $effect.pre(() => {
    const present = record();
    if (!present) return;
    // Only another record is a reason to come here again, not what is done with it.
    untrack(() => {
      const held = keeper;
      if (held && held.present.id === present.id) held.meet(present);
      else {
        held?.close();
        keeper = new Keeper(kind, present, send(present.id));
      }
    });
  });
  $effect(() => {
    const hide = () => {
      if (document.visibilityState === 'hidden') keeper?.flush(true);
    };
    const online = () => keeper?.flush();
    document.addEventListener('visibilitychange', hide);
    addEventListener('online', online);
    return () => {
      document.removeEventListener('visibilitychange', hide);
      removeEventListener('online', online);
      untrack(() => keeper?.close());
    };
  });
  return {
    get keeper() {
      return keeper;
    },
  };
}

// Changes of a watch on their way to the server, from whichever page they were made.

import type { Send } from '../keeping/keeper.svelte';
import * as api from '../server/api';
import type { Watch } from '../wire/Watch';
import type { WatchChange } from '../wire/WatchChange';

function changeOf(fields: Partial<Watch> & { version: number }): WatchChange {
  const { owner_name: _, id: __, ...rest } = fields;
  // To the server nothing means "as it was"; "not known" is 0.
  return 'balances' in rest ? { ...rest, balances: rest.balances ?? 0 } : rest;
}

/** What a keeper sends with; `answered` gets the watch as it is then. */
export const sendWatch =
  (of: string, answered: (watch: Watch) => Watch): Send<Watch> =>
  async (fields, leaving) =>
    answered(await api.watches.change(of, changeOf(fields), leaving));

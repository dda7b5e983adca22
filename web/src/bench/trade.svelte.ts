// The vocabulary, fetched once and held, so that it is there without a line.

import { trade as api } from '../server/bench-api';
import { onChange } from '../server/changes.svelte';
import { sentence } from '../server/request';
import type { Trade } from '../wire/Trade';
import type { TradeKind } from '../wire/TradeKind';

class HeldTrade {
  value = $state.raw<Trade | undefined>();
  error = $state('');
  #kinds = $derived(new Map(this.value?.kinds.map((kind) => [kind.id, kind])));
  #asked = false;

  kind(id: string | null): TradeKind | undefined {
    return id === null ? undefined : this.#kinds.get(id);
  }

  /** Fetches it where it is not there yet, and again when the user's own words change. */
  want() {
    if (this.#asked) return;
    this.#asked = true;
    onChange((change) => {
      if (change === 'all' || change.kind === 'setting') void this.fetch();
    });
    void this.fetch();
  }

  async fetch() {
    try {
      this.value = await api.all();
      this.error = '';
    } catch (cause) {
      if (!this.value) this.error = sentence(cause);
    }
  }
}

export const trade = new HeldTrade();

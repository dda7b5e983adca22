// Something fetched from the server that is fetched again when it has changed there.

import { untrack } from 'svelte';
import type { ChangeEvent } from '../wire/ChangeEvent';
import { onChange } from './changes.svelte';
import { sentence } from './request';

/** A burst of changes is worth one fetch. */
const SETTLE_MS = 120;

export class Loaded<T> {
  value = $state.raw<T | undefined>(undefined);
  /** Why there is no value, or why it may be old. */
  error = $state('');
  /** Whether the first answer is still awaited. */
  loading = $state(true);
  #turn = 0;

  constructor(private readonly load: (signal: AbortSignal) => Promise<T>) {}

  /** Fetches; of several fetches under way only the last counts. */
  async fetch(signal: AbortSignal): Promise<void> {
    const turn = ++this.#turn;
    try {
      const value = await this.load(signal);
      if (turn !== this.#turn) return;
      this.value = value;
      this.error = '';
    } catch (cause) {
      if (turn !== this.#turn || signal.aborted) return;
      this.error = sentence(cause);
    }
    this.loading = false;
  }
}

/**
 * For use while a component is set up. `load` is called at once, again when what it reads has
 * changed, and again on every change at the server that `concerns` it.
 */
export function loaded<T>(
  load: (signal: AbortSignal) => Promise<T>,
  concerns: (change: ChangeEvent) => boolean = () => true,
): Loaded<T> & { again: () => void } {
  let round = $state(0);
  const result = new Loaded(load);
  $effect(() => {
    void round;
    const abort = new AbortController();
    void result.fetch(abort.signal);
    return () => abort.abort();
  });
  $effect(() => {
    let timer: ReturnType<typeof setTimeout> | undefined;
    const stop = onChange((change) => {
      if (change !== 'all' && !concerns(change)) return;
      clearTimeout(timer);
      timer = setTimeout(() => round++, SETTLE_MS);
    });
    return () => {
      clearTimeout(timer);
      stop();
    };
  });
  // An effect that asks for a fetch must not wake from it.
  return Object.assign(result, { again: () => untrack(() => void round++) });
}

// A paper while it is made: how far it is, what became of it, and how to stop.

import * as papers from '../server/papers-api';
import { sentence } from '../server/request';
import type { PaperCheck } from '../wire/PaperCheck';
import type { PaperKind } from '../wire/PaperKind';

/** A paper that is there sooner needs no word of its progress. */
const FIRST_MS = 400;
const EVERY_MS = 500;

export class Making {
  /** What became of it, once it is there. */
  made = $state.raw<PaperCheck | null>(null);
  busy = $state(false);
  /** What is done now, and how much of that. */
  words = $state('');
  share = $state<number | null>(null);
  failure = $state('');
  #abort: AbortController | undefined;

  constructor(
    private readonly job: string,
    private readonly kind: PaperKind,
  ) {}

  async make(wish: papers.PaperWish): Promise<void> {
    this.stop();
    const abort = new AbortController();
    this.#abort = abort;
    this.busy = true;
    this.made = null;
    this.failure = '';
    this.words = '';
    this.share = null;
    const timer = setTimeout(() => void this.#follow(abort), FIRST_MS);
    try {
      const made = await papers.check(this.job, this.kind, wish, abort.signal);
      if (this.#abort === abort) this.made = made;
    } catch (cause) {
      if (this.#abort === abort && !abort.signal.aborted) this.failure = sentence(cause);
    } finally {
      clearTimeout(timer);
      if (this.#abort === abort) {
        this.#abort = undefined;
        this.busy = false;
      }
    }
  }

  /** Asks how far it is for as long as it is made. */
  async #follow(abort: AbortController): Promise<void> {
    while (this.#abort === abort) {
      try {
        const { words, share } = await papers.progress(this.job, this.kind);
        if (this.#abort !== abort) return;
        this.words = words ?? '';
        this.share = share;
      } catch {
        // What is waited for says what went wrong.
      }
      await new Promise((go) => setTimeout(go, EVERY_MS));
    }
  }

  /** Nobody waits for it any more. */
  stop(): void {
    this.#abort?.abort();
    this.#abort = undefined;
    this.busy = false;
  }

  /** What was made is not what would be made now. */
  forget(): void {
    this.made = null;
    this.failure = '';
  }
}

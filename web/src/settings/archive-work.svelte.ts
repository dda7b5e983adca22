// Work at an archive in hand: how far it is, and how it is stopped.

import { newId } from '../bench/ids';
import { archive } from '../server/archive-api';

/** What is done sooner needs no word of its progress. */
const FIRST_MS = 300;
const EVERY_MS = 500;

export class ArchiveWork {
  readonly id = newId();
  busy = $state(false);
  /** What is done now, and how much of that. */
  words = $state('');
  share = $state<number | null>(null);
  /** Somebody has pressed Stop. */
  stopped = $state(false);
  readonly #abort = new AbortController();

  /** Aborts what is still on its way to the program. */
  get signal(): AbortSignal {
    return this.#abort.signal;
  }

  /** Follows a piece of work until it has ended. */
  async during<T>(work: Promise<T>): Promise<T> {
    this.busy = true;
    const timer = setTimeout(() => void this.#follow(), FIRST_MS);
    try {
      return await work;
    } finally {
      clearTimeout(timer);
      this.busy = false;
      this.words = '';
      this.share = null;
    }
  }

  async #follow(): Promise<void> {
    while (this.busy) {
      try {
        const { words, share } = await archive.progress(this.id);
        if (!this.busy) return;
        this.words = words ?? '';
        this.share = share;
      } catch {
        // What is waited for says what went wrong.
      }
      await new Promise((go) => setTimeout(go, EVERY_MS));
    }
  }

  /** Stops what is done, and gives the archive out of hand. What was being added is not, or all is. */
  async leave(): Promise<void> {
    this.stopped = true;
    this.#abort.abort();
    // Where nobody answers, the program is gone and the archive with it.
    await archive.leave(this.id).catch(() => undefined);
  }
}

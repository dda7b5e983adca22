// Short notes at the foot of the page: what was done, and how to undo it.

import { untrack } from 'svelte';

export interface Notice {
  id: number;
  text: string;
  tone: 'plain' | 'bad';
  undo?: () => Promise<void>;
}

const SHOW_MS = 6000;
/** Undo needs longer: it has to be seen, understood and reached. */
const SHOW_UNDO_MS = 15000;

class Notices {
  list = $state<Notice[]>([]);
  #next = 1;

  tell(text: string, undo?: () => Promise<void>) {
    this.#add({ id: this.#next++, text, tone: 'plain', undo }, undo ? SHOW_UNDO_MS : SHOW_MS);
  }

  fail(text: string) {
    this.#add({ id: this.#next++, text, tone: 'bad' }, SHOW_UNDO_MS);
  }

  close(id: number) {
    this.list = this.list.filter((notice) => notice.id !== id);
  }

  #add(notice: Notice, ms: number) {
    // An effect that tells something must not wake whenever something else is told.
    untrack(() => (this.list = [...this.list.slice(-2), notice]));
    setTimeout(() => this.close(notice.id), ms);
  }
}

export const notices = new Notices();

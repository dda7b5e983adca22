// Keeps what is entered. Every field of a record goes to the server a moment after it was changed;
// nothing that was typed is thrown away, whatever happens on the way.

import { NoAnswer, Refused, sentence } from '../server/request';
import { drop, draftOf, stash, type Drafts } from './drafts';

export type Mark =
  /** As the server has it. */
  | 'kept'
  /** Changed, about to be sent. */
  | 'changed'
  | 'keeping'
  /** Nobody answers; it is tried again. */
  | 'waiting'
  /** The server will not have it. */
  | 'refused'
  /** Somebody else has changed it as well. */
  | 'conflict';

export interface Edit {
  value: unknown;
  /** What the field held when the edit began. */
  base: unknown;
  mark: Mark;
  /** What somebody else has put there, where the two conflict. */
  theirs?: unknown;
  message: string;
}

export interface Kept {
  id: string;
  version: number;
}

export type Send<T> = (changes: Partial<T> & { version: number }, leaving: boolean) => Promise<T>;

/** Long enough that a word is one change, short enough that nobody waits for it. */
const PAUSE_MS = 500;
const RETRY_MS = [1000, 2000, 4000, 8000, 15000];
/** How long "kept" stays beside a field. */
const SHOW_KEPT_MS = 2500;

export function same(a: unknown, b: unknown): boolean {
  return Object.is(a, b) || JSON.stringify(a) === JSON.stringify(b);
}

export class Keeper<T extends Kept> {
  /** As the server has it, as far as this page knows. */
  present = $state.raw() as T;
  edits = $state<Record<string, Edit>>({});
  /** Fields whose last change has just been kept. */
  fresh = $state<Record<string, boolean>>({});
  #timer: ReturnType<typeof setTimeout> | undefined;
  #sending = false;
  #failures = 0;
  #dropped = false;
  readonly #draftName: string;

  constructor(
    kind: string,
    present: T,
    private readonly send: Send<T>,
  ) {
    this.present = present;
    this.#draftName = `${kind}/${present.id}`;
    this.#restore(draftOf(this.#draftName));
  }

  value<K extends keyof T & string>(field: K): T[K] {
    const edit = this.edits[field];
    return edit ? (edit.value as T[K]) : this.present[field];
  }

  mark(field: keyof T & string): Mark {
    return this.edits[field]?.mark ?? 'kept';
  }

  /** Whether anything is not yet with the server. */
  get open(): boolean {
    return Object.keys(this.edits).length > 0;
  }

  set<K extends keyof T & string>(field: K, value: T[K]) {
    const edit = this.edits[field];
    if (edit?.mark === 'conflict') {
      // Typing on settles nothing: the other's value stays until one of the two is chosen.
      if (same(edit.theirs, value)) delete this.edits[field];
      else edit.value = value;
      this.#stash();
      return;
    }
    const base = edit ? edit.base : this.present[field];
    if (same(base, value) && edit?.mark !== 'keeping') delete this.edits[field];
    else this.edits[field] = { value, base, mark: 'changed', message: '' };
    this.#stash();
    this.#plan(PAUSE_MS);
  }

  /** Sends at once what waits: the field was left, or the page is about to go. */
  flush(leaving = false) {
    clearTimeout(this.#timer);
    void this.#keep(leaving);
  }

  /** A newer record from the server: takes over what is not being edited here. */
  meet(record: T) {
    if (record.version < this.present.version) return;
    this.present = record;
    for (const [field, edit] of Object.entries(this.edits)) {
      // Its own answer is under way and will say what became of it.
      if (edit.mark === 'keeping') continue;
      this.#compare(field, edit, record);
    }
    this.#stash();
  }

  /** Settles a conflict. */
  choose(field: keyof T & string, which: 'mine' | 'theirs') {
    const edit = this.edits[field];
    if (edit?.mark !== 'conflict') return;
    if (which === 'theirs') {
      delete this.edits[field];
      this.#stash();
      return;
    }
    this.edits[field] = { value: edit.value, base: edit.theirs, mark: 'changed', message: '' };
    this.#stash();
    this.flush();
  }

  /** Stops the clock; what is open is sent, and stays in the draft until it is kept. */
  close() {
    if (this.open && !this.#dropped) this.flush(true);
    clearTimeout(this.#timer);
    this.#dropped = true;
  }

  #plan(ms: number) {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void this.#keep(false), ms);
  }

  async #keep(leaving: boolean): Promise<void> {
    // One after the other: the second must carry the version that the first has made.
    if (this.#sending) return;
    const fields = Object.keys(this.edits).filter((field) => {
      const mark = this.edits[field]?.mark;
      return mark === 'changed' || mark === 'waiting';
    });
    if (fields.length === 0) return;
    const sent: Record<string, unknown> = {};
    for (const field of fields) {
      const edit = this.edits[field];
      if (!edit) continue;
      sent[field] = $state.snapshot(edit.value);
      edit.mark = 'keeping';
    }
    this.#sending = true;
    try {
      const changes = { ...sent, version: this.present.version } as Partial<T> & Kept;
      this.#kept(sent, await this.send(changes, leaving));
    } catch (cause) {
      this.#notKept(sent, cause);
    } finally {
      this.#sending = false;
      this.#stash();
    }
    if (Object.values(this.edits).some((edit) => edit.mark === 'changed')) this.#plan(0);
  }

  #kept(sent: Record<string, unknown>, record: T) {
    this.#failures = 0;
    if (record.version >= this.present.version) this.present = record;
    for (const [field, value] of Object.entries(sent)) {
      const edit = this.edits[field];
      if (!edit) continue;
      if (same(edit.value, value)) {
        delete this.edits[field];
        this.fresh[field] = true;
        setTimeout(() => delete this.fresh[field], SHOW_KEPT_MS);
      } else {
        // Typed on meanwhile.
        edit.base = value;
        edit.mark = 'changed';
      }
    }
  }

  #notKept(sent: Record<string, unknown>, cause: unknown) {
    const fields = Object.keys(sent);
    if (cause instanceof Refused && cause.isConflict) {
      const record = cause.present as T;
      if (record.version > this.present.version) this.present = record;
      for (const field of fields) {
        const edit = this.edits[field];
        if (!edit) continue;
        edit.mark = 'changed';
        this.#compare(field, edit, this.present);
      }
      return;
    }
    const passes = cause instanceof NoAnswer || (cause instanceof Refused && cause.mayPass);
    for (const field of fields) {
      const edit = this.edits[field];
      if (!edit) continue;
      edit.mark = passes ? 'waiting' : 'refused';
      edit.message = sentence(cause);
    }
    if (passes && !this.#dropped) {
      this.#plan(RETRY_MS[Math.min(this.#failures, RETRY_MS.length - 1)] ?? 1000);
      this.#failures++;
    }
  }

  /** What becomes of an edit now that the server holds `record`. */
  #compare(field: string, edit: Edit, record: T) {
    const theirs = record[field as keyof T];
    if (same(theirs, edit.value)) delete this.edits[field];
    else if (!same(theirs, edit.base)) {
      edit.mark = 'conflict';
      edit.theirs = theirs;
    } else if (edit.mark === 'conflict') {
      edit.mark = 'changed';
      delete edit.theirs;
    }
  }

  #stash() {
    const drafts: Drafts = {};
    for (const [field, { value, base }] of Object.entries(this.edits)) {
      drafts[field] = { value: $state.snapshot(value), base: $state.snapshot(base) };
    }
    if (Object.keys(drafts).length === 0) drop(this.#draftName);
    else stash(this.#draftName, drafts);
  }

  #restore(drafts: Drafts) {
    for (const [field, { value, base }] of Object.entries(drafts)) {
      const edit: Edit = { value, base, mark: 'changed', message: '' };
      this.edits[field] = edit;
      const held = this.edits[field];
      if (held) this.#compare(field, held, this.present);
    }
    if (this.open) this.#plan(PAUSE_MS);
    this.#stash();
  }
}

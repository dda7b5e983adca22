// Sends what was entered at the bench, each once and in order, however often the line is cut.
// Nothing leaves the shelf before the server has acknowledged its id.

import { NoAnswer, Refused, sentence } from '../server/request';
import type { LogKept } from '../wire/LogKept';
import type { LogEntry } from '../wire/LogEntry';
import type { LaidDown, NewPhoto, Shelf, Waiting, WaitingEntry, WaitingPhoto } from './outbox-shelf';
import type { Turn } from './outbox-turn';
import { withoutPhoto } from './without-photo';

export interface Line {
  /** Resolves once the server has the photo under this id. */
  photo(job: string, id: string, picture: Blob, name: string): Promise<void>;
  entries(job: string, entries: LogEntry[]): Promise<LogKept>;
}

const RETRY_MS = [1000, 2000, 4000, 8000, 15_000, 30_000];
/** Small enough that a slow line carries one in a few seconds. */
const MOST_AT_ONCE = 20;

const PICTURE_LOST =
  'This photo was only in a window that was closed before it was sent. Take it again, or drop it here.';

export class Outbox {
  /** Why the last attempt ended early; empty where all went. */
  trouble = '';
  #running: Promise<void> | null = null;
  #again = false;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #failures = 0;

  constructor(
    private readonly shelf: Shelf,
    private readonly line: Line,
    private readonly turn: Turn,
    /** Called after anything has changed on the shelf or in `trouble`. */
    private readonly changed: () => void = () => undefined,
    /** Called when the server has acknowledged something. */
    private readonly acknowledged: (item: Waiting) => void = () => undefined,
  ) {}

  /** Lays down, and begins to send. Comes back when it is safe, not when it is sent. */
  async add(job: string, photos: NewPhoto[], entries: LogEntry[]): Promise<LaidDown> {
    const how = await this.shelf.lay(job, photos, entries);
    this.changed();
    this.wake();
    return how;
  }

  /** Tries at once: the line may be back. */
  wake() {
    clearTimeout(this.#timer);
    void this.send();
  }

  /** One attempt to send all; several calls at once are one attempt, and one more behind it. */
  send(): Promise<void> {
    if (this.#running) {
      this.#again = true;
      return this.#running;
    }
    this.#running = this.#attempts().finally(() => (this.#running = null));
    return this.#running;
  }

  stop() {
    clearTimeout(this.#timer);
  }

  /** Tries a refused one again as it is, or as it is now. */
  async retry(id: string, entry?: LogEntry) {
    await this.shelf.change(id, (item) =>
      item.kind === 'entry' ? { ...item, refusal: '', entry: entry ?? item.entry } : { ...item, refusal: '' },
    );
    this.changed();
    this.wake();
  }

  /** Lets the others go first. */
  async putLast(id: string) {
    await this.shelf.moveToEnd(id);
    await this.retry(id);
  }

  /** Gives one up, by the user's wish; of a photo also wherever a waiting entry names it. */
  async drop(id: string) {
    const items = await this.shelf.list();
    const item = items.find((one) => one.id === id);
    if (item?.kind === 'photo') {
      for (const other of items) {
        if (other.kind !== 'entry' || other.job !== item.job) continue;
        const rest = withoutPhoto(other.entry, id);
        if (rest === null) await this.shelf.remove(other.id);
        else if (rest !== other.entry) {
          await this.shelf.change(other.id, (one) =>
            one.kind === 'entry' ? { ...one, entry: rest } : one,
          );
        }
      }
    }
    await this.shelf.remove(id);
    this.changed();
    this.wake();
  }

  async #attempts() {
    do {
      this.#again = false;
      const open = await this.turn((renew) => this.#attempt(renew)).catch((cause: unknown) => {
        this.trouble = sentence(cause);
        return true;
      });
      // Without an answer another window has the turn; it may be closed before it is done.
      if (open !== false) this.#plan();
      else this.#failures = 0;
      this.changed();
    } while (this.#again);
  }

  #plan() {
    clearTimeout(this.#timer);
    const ms = RETRY_MS[Math.min(this.#failures, RETRY_MS.length - 1)] ?? 1000;
    this.#failures++;
    this.#timer = setTimeout(() => void this.send(), ms);
  }

  /** Gives back whether it is worth to try again later by itself. */
  async #attempt(renew: () => Promise<boolean>): Promise<boolean> {
    this.trouble = '';
    /** Jobs with something that nobody but the user, or another window, can settle. */
    const held = new Set<string>();
    for (;;) {
      const items = (await this.shelf.list()).filter((item) => !held.has(item.job));
      const first = items[0];
      if (!first) return false;
      if (first.refusal !== '' || !this.#isOurs(first)) {
        held.add(first.job);
        continue;
      }
      if (!(await renew())) return true;
      try {
        if (first.kind === 'photo') await this.#sendPhoto(first);
        else await this.#sendEntries(first.job, leading(items, first.job));
        this.#failures = 0;
      } catch (cause) {
        if (!this.#isRefusal(cause)) {
          this.trouble = sentence(cause);
          return true;
        }
        await this.#refuse(first.id, sentence(cause));
      }
      this.changed();
    }
  }

  #isOurs(item: Waiting): boolean {
    return item.only_in === null || item.only_in === this.shelf.window;
  }

  /** Whether the server has looked at it and will not have it. */
  #isRefusal(cause: unknown): cause is Refused {
    // Who may not come in at all is told about the device, not about the entry.
    return (
      cause instanceof Refused && !cause.mayPass && cause.status !== 401 && cause.status !== 403
    );
  }

  async #sendPhoto(item: WaitingPhoto) {
    const { id, job, name } = item;
    const picture = await this.shelf.picture(id);
    if (!picture) return await this.#refuse(id, PICTURE_LOST);
    await this.line.photo(job, id, picture, name);
    await this.#settle(item);
  }

  async #settle(item: Waiting) {
    this.acknowledged(item);
    await this.shelf.remove(item.id);
  }

  async #sendEntries(job: string, waiting: WaitingEntry[]) {
    let sent = waiting.slice(0, MOST_AT_ONCE);
    let answer: LogKept;
    try {
      answer = await this.line.entries(job, sent.map(({ entry }) => entry));
    } catch (cause) {
      const first = sent[0];
      if (!this.#isRefusal(cause) || sent.length === 1 || !first) throw cause;
      // One of them cannot even be read: which, is found by sending the first alone.
      sent = [first];
      answer = await this.line.entries(job, [first.entry]);
    }
    const theirs = new Set([...answer.kept, ...answer.there_already]);
    let settled = 0;
    for (const item of sent) {
      if (!theirs.has(item.id)) continue;
      await this.#settle(item);
      settled++;
    }
    const { refused } = answer;
    if (refused && sent.some(({ id }) => id === refused.id)) {
      await this.#refuse(refused.id, refused.words);
      settled++;
    }
    if (settled === 0) throw new NoAnswer();
  }

  async #refuse(id: string, refusal: string) {
    await this.shelf.change(id, (item) => ({ ...item, refusal }));
  }
}

/** The entries of a job that can go at once: up to a photo, or one that was refused. */
function leading(items: Waiting[], job: string): WaitingEntry[] {
  const entries: WaitingEntry[] = [];
  for (const item of items) {
    if (item.job !== job) continue;
    if (item.kind === 'photo' || item.refusal !== '') break;
    entries.push(item);
  }
  return entries;
}

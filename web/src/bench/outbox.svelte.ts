// The one queue of this page, and what the page shows of it.

import { log } from '../server/bench-api';
import { onChange } from '../server/changes.svelte';
import { notices } from '../shell/notices.svelte';
import { newId } from './ids';
import type { LogChange } from '../wire/LogChange';
import type { LogEntry } from '../wire/LogEntry';
import { Outbox } from './outbox';
import { Shelf, type NewPhoto, type Waiting } from './outbox-shelf';
import { turnOf } from './outbox-turn';

/** So many that were acknowledged are shown on until the page has asked anew. */
const MOST_SETTLING = 200;

const shelf = new Shelf(windowId());

/** Stays the same when the page is loaded again, so that a window finds its own turn to send. */
function windowId(): string {
  const name = 'endshake.window';
  try {
    const id = sessionStorage.getItem(name) ?? newId();
    sessionStorage.setItem(name, id);
    return id;
  } catch {
    return newId();
  }
}

class Bench {
  /** What waits for the line, in its order. */
  waiting = $state.raw<Waiting[]>([]);
  /** Whether what waits outlives this page. */
  outlives = $state(true);
  trouble = $state('');
  /** Acknowledged, but not yet in what the page has fetched. */
  settling = $state.raw<{ job: string; entry: LogEntry }[]>([]);
  /** Pictures that are still here, by the ids of their photos. */
  pictures = $state.raw<Record<string, string>>({});

  readonly #channel = 'BroadcastChannel' in globalThis ? new BroadcastChannel('endshake.outbox') : null;

  readonly #outbox: Outbox = new Outbox(
    shelf,
    {
      photo: async (job, id, picture, name) => void (await log.putPhoto(job, id, picture, name)),
      entries: log.enter,
    },
    turnOf(shelf),
    () => {
      this.#channel?.postMessage('changed');
      void this.#look();
    },
    (item) => {
      if (item.kind !== 'entry') return;
      const { job, entry } = item;
      this.settling = [...this.settling, { job, entry }].slice(-MOST_SETTLING);
    },
  );

  /** Begins to send what was left from before; gives back how to stop. */
  follow(): () => void {
    const wake = () => this.#outbox.wake();
    const shown = () => {
      if (document.visibilityState === 'visible') wake();
    };
    const leave = (event: BeforeUnloadEvent) => {
      const lost = this.waiting.some(({ only_in }) => only_in === shelf.window);
      if (lost || (!this.outlives && this.waiting.length > 0)) event.preventDefault();
    };
    const look = () => void this.#look();
    // The server answers again.
    const stop = onChange((change) => change === 'all' && wake());
    this.#channel?.addEventListener('message', look);
    addEventListener('online', wake);
    addEventListener('pageshow', wake);
    addEventListener('beforeunload', leave);
    document.addEventListener('visibilitychange', shown);
    void this.#look().then(wake);
    return () => {
      this.#outbox.stop();
      stop();
      this.#channel?.removeEventListener('message', look);
      removeEventListener('online', wake);
      removeEventListener('pageshow', wake);
      removeEventListener('beforeunload', leave);
      document.removeEventListener('visibilitychange', shown);
    };
  }

  wake() {
    this.#outbox.wake();
  }

  /** Enters changes, in their order; it comes back when they are safe, not when they are sent. */
  async enter(job: string, changes: LogChange[]): Promise<LogEntry[]> {
    const at = new Date().toISOString();
    const entries = changes.map((change): LogEntry => ({ id: newId(), by: '', at, change }));
    await this.#outbox.add(job, [], entries);
    return entries;
  }

  /** Takes an entry back by another; one that was refused is simply dropped. */
  async takeBack(job: string, entry: string) {
    const waits = this.waiting.some(({ id, refusal }) => id === entry && refusal !== '');
    if (waits) await this.#outbox.drop(entry);
    else await this.enter(job, [{ kind: 'taken_back', entry }]);
  }

  /** Lays photos down, to be named by an entry that comes later; gives back their ids. */
  async photos(job: string, files: Iterable<File>): Promise<string[]> {
    const photos = [...files].map((file): NewPhoto => {
      return { id: newId(), name: file.name || 'photo.jpg', picture: file };
    });
    const urls = photos.map(({ id, picture }) => [id, URL.createObjectURL(picture)]);
    this.pictures = { ...this.pictures, ...Object.fromEntries(urls) };
    const how = await this.#outbox.add(job, photos, []);
    if (how !== 'kept' && this.outlives) {
      notices.fail(
        'This browser has no room left for the photo. It is sent while this page is open; save it from the list of what waits to be sure of it.',
      );
    }
    return photos.map(({ id }) => id);
  }

  /** The picture is with the server, and is shown from there. */
  forget(photo: string) {
    const url = this.pictures[photo];
    if (url === undefined) return;
    const { [photo]: _, ...rest } = this.pictures;
    this.pictures = rest;
    URL.revokeObjectURL(url);
  }

  /** What was fetched holds these now. */
  settled(entries: ReadonlySet<string>) {
    const left = this.settling.filter(({ entry }) => !entries.has(entry.id));
    // Written only where something goes: what is written wakes whoever reads it.
    if (left.length < this.settling.length) this.settling = left;
  }

  retry = (id: string, entry?: LogEntry) => this.#outbox.retry(id, entry);
  putLast = (id: string) => this.#outbox.putLast(id);
  drop = (id: string) => this.#outbox.drop(id);
  picture = (id: string) => shelf.picture(id);

  async #look() {
    this.outlives = await shelf.outlives();
    const waiting = await shelf.list();
    for (const item of waiting) {
      if (item.kind !== 'photo' || this.pictures[item.id] !== undefined) continue;
      const picture = await shelf.picture(item.id);
      if (picture) this.pictures = { ...this.pictures, [item.id]: URL.createObjectURL(picture) };
    }
    this.waiting = waiting;
    this.trouble = this.#outbox.trouble;
  }
}

export const bench = new Bench();

// Where entries and photos lie until the server has them: in the browser's own database, so that a
// closed page or an empty battery loses nothing; where there is none (a private window), or no room
// left in it, in this page's memory.

import { openDB, type DBSchema, type IDBPDatabase } from 'idb';
import type { LogEntry } from '../wire/LogEntry';

interface Common {
  /** Grows with each that is laid down, over all windows of this browser. */
  seq: number;
  /** The id that the server will acknowledge. */
  id: string;
  job: string;
  /** Why the server will not have it; empty while it merely waits. */
  refusal: string;
  /** The window that alone has the picture, where the browser had no room for it. */
  only_in: string | null;
}
export type WaitingPhoto = Common & { kind: 'photo'; name: string };
export type WaitingEntry = Common & { kind: 'entry'; entry: LogEntry };
export type Waiting = WaitingPhoto | WaitingEntry;

type Unnumbered = Omit<WaitingPhoto, 'seq'> | Omit<WaitingEntry, 'seq'>;

export interface NewPhoto {
  id: string;
  name: string;
  picture: Blob;
}

/** What became of something laid down. */
export type LaidDown =
  | 'kept'
  /** The entries are kept, the pictures are only in this page: no room. */
  | 'pictures_in_page'
  /** Everything is only in this page. */
  | 'in_page';

interface Held {
  /** Bytes and not a Blob: not every browser keeps a Blob whole in its database. */
  bytes: ArrayBuffer;
  type: string;
}

interface Schema extends DBSchema {
  waiting: { key: number; value: Waiting; indexes: { id: string } };
  pictures: { key: string; value: Held };
  leases: { key: string; value: { holder: string; until_ms: number } };
}

const NAME = 'endshake.outbox';

export class Shelf {
  #opened: Promise<IDBPDatabase<Schema> | null> | undefined;
  /** What the browser has no room or no database for. Numbered after all that was seen there. */
  #inPage: Waiting[] = [];
  #pictures = new Map<string, Blob>();
  #last = 0;
  #laying: Promise<unknown> = Promise.resolve();

  constructor(
    /** Which window this is. */
    readonly window: string,
    private readonly name = NAME,
  ) {}

  /** Whether what lies here outlives the page. */
  async outlives(): Promise<boolean> {
    return (await this.#db()) !== null;
  }

  /** Photos first, then the entries that name them, all of them or none. */
  lay(job: string, photos: NewPhoto[], entries: LogEntry[]): Promise<LaidDown> {
    // What was called first lies first, however long its pictures take to read.
    const laid = this.#laying.then(() => this.#lay(job, photos, entries));
    this.#laying = laid.catch(() => undefined);
    return laid;
  }

  async #lay(job: string, photos: NewPhoto[], entries: LogEntry[]): Promise<LaidDown> {
    const pictures: [string, Held][] = [];
    for (const { id, picture } of photos) {
      pictures.push([id, { bytes: await bytesOf(picture), type: picture.type }]);
    }
    const items = (only_in: string | null): Unnumbered[] => [
      ...photos.map(({ id, name }) => {
        return { kind: 'photo' as const, id, job, name, refusal: '', only_in };
      }),
      ...entries.map((entry) => {
        const common = { id: entry.id, job, refusal: '', only_in: null };
        return { kind: 'entry' as const, ...common, entry };
      }),
    ];
    if (await this.#write(items(null), pictures)) return 'kept';
    // No room for the pictures, it seems; an entry is small.
    for (const { id, picture } of photos) this.#pictures.set(id, picture);
    if (photos.length > 0 && (await this.#write(items(this.window), []))) {
      return 'pictures_in_page';
    }
    // Numbered behind what is in the database.
    await this.list();
    for (const item of items(this.window)) {
      this.#inPage.push({ ...item, seq: (this.#last += 0.001) } as Waiting);
    }
    return 'in_page';
  }

  /** All that lies here, in the order in which it was laid down. */
  async list(): Promise<Waiting[]> {
    const db = await this.#db();
    const stored = db ? await db.getAll('waiting') : [];
    this.#last = Math.max(this.#last, stored.at(-1)?.seq ?? 0);
    return [...stored, ...this.#inPage].sort((a, b) => a.seq - b.seq);
  }

  /** The picture of a photo; none where another window has it, or had it. */
  async picture(id: string): Promise<Blob | undefined> {
    const here = this.#pictures.get(id);
    if (here) return here;
    const held = await (await this.#db())?.get('pictures', id);
    return held && new Blob([held.bytes], { type: held.type });
  }

  /** Only for what the server has, or the user gives up. */
  async remove(id: string): Promise<void> {
    this.#inPage = this.#inPage.filter((item) => item.id !== id);
    this.#pictures.delete(id);
    const db = await this.#db();
    if (!db) return;
    const change = db.transaction(['waiting', 'pictures'], 'readwrite');
    const waiting = change.objectStore('waiting');
    const key = await waiting.index('id').getKey(id);
    if (key !== undefined) await waiting.delete(key);
    await change.objectStore('pictures').delete(id);
    await change.done;
  }

  /** Puts right what lies there under the same id. */
  async change(id: string, how: (item: Waiting) => Waiting): Promise<void> {
    this.#inPage = this.#inPage.map((item) => (item.id === id ? how(item) : item));
    const db = await this.#db();
    if (!db) return;
    const change = db.transaction('waiting', 'readwrite');
    const held = await change.store.index('id').get(id);
    if (held) await change.store.put({ ...how(held), seq: held.seq });
    await change.done;
  }

  /** Behind all others, under the same id. */
  async moveToEnd(id: string): Promise<void> {
    const here = this.#inPage.find((item) => item.id === id);
    if (here) here.seq = this.#last += 0.001;
    const db = await this.#db();
    if (!db) return;
    const change = db.transaction('waiting', 'readwrite');
    const held = await change.store.index('id').get(id);
    if (held) {
      await change.store.delete(held.seq);
      const { seq: _, ...rest } = held;
      await change.store.add(rest as Waiting);
    }
    await change.done;
  }

  /**
   * Takes the lease of `what`, or renews it, unless another holds it; for browsers without locks.
   */
  async lease(what: string, holder: string, for_ms: number): Promise<boolean> {
    const db = await this.#db();
    if (!db) return true;
    const change = db.transaction('leases', 'readwrite');
    const held = await change.store.get(what);
    const free = !held || held.holder === holder || held.until_ms < Date.now();
    if (free) await change.store.put({ holder, until_ms: Date.now() + for_ms }, what);
    await change.done;
    return free;
  }

  async #write(items: Unnumbered[], pictures: [string, Held][]): Promise<boolean> {
    const db = await this.#db();
    if (!db) return false;
    // Without this, what is in memory could be numbered before what is written now.
    if (this.#inPage.length > 0) return false;
    try {
      const change = db.transaction(['waiting', 'pictures'], 'readwrite', { durability: 'strict' });
      const work: Promise<unknown>[] = [change.done];
      for (const [id, held] of pictures) work.push(change.objectStore('pictures').put(held, id));
      // The number is given by the database.
      for (const item of items) work.push(change.objectStore('waiting').add(item as Waiting));
      await Promise.all(work);
      return true;
    } catch {
      return false;
    }
  }

  #db(): Promise<IDBPDatabase<Schema> | null> {
    this.#opened ??= this.#open();
    return this.#opened;
  }

  async #open(): Promise<IDBPDatabase<Schema> | null> {
    try {
      return await openDB<Schema>(this.name, 1, {
        upgrade(db) {
          const waiting = db.createObjectStore('waiting', { keyPath: 'seq', autoIncrement: true });
          waiting.createIndex('id', 'id', { unique: true });
          db.createObjectStore('pictures');
          db.createObjectStore('leases');
        },
      });
    } catch {
      return null;
    }
  }
}

/** A Blob's bytes; `arrayBuffer` is missing in some places where a FileReader is not. */
function bytesOf(blob: Blob): Promise<ArrayBuffer> {
  if (typeof blob.arrayBuffer === 'function') return blob.arrayBuffer();
  return new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.onload = () => resolve(reader.result as ArrayBuffer);
    reader.onerror = () => reject(reader.error);
    reader.readAsArrayBuffer(blob);
  });
}

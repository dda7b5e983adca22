// @vitest-environment jsdom

// The queue against a server that counts what reaches it, over a line that is cut at random.

import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { beforeEach, expect, test, vi } from 'vitest';
import { NoAnswer, Refused } from '../server/request';
import type { LogKept } from '../wire/LogKept';
import { newId } from './ids';
import type { LogChange } from '../wire/LogChange';
import type { LogEntry } from '../wire/LogEntry';
import { Outbox, type Line } from './outbox';
import { Shelf } from './outbox-shelf';
import { turnOf } from './outbox-turn';

beforeEach(() => {
  vi.stubGlobal('indexedDB', new IDBFactory());
});

/** A small generator with a seed, so that a failure can be had again (mulberry32). */
function chance(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** What a server holds that keeps every id once. */
class Server implements Line {
  entriesHeld: LogEntry[] = [];
  photosHeld = new Map<string, number>();
  /** Entries that name a photo that is not there. */
  tooEarly: string[] = [];
  requests = 0;
  atOnce = 0;
  mostAtOnce = 0;

  constructor(
    /** Called at the two places where a line can be cut; throws where it is. */
    private readonly pass: () => void | Promise<void> = () => undefined,
    private readonly refuses: (entry: LogEntry) => string | null = () => null,
  ) {}

  async photo(_job: string, id: string, picture: Blob) {
    await this.#through(() => this.photosHeld.set(id, picture.size));
  }

  async entries(_job: string, entries: LogEntry[]): Promise<LogKept> {
    return await this.#through(() => {
      const answer: LogKept = { kept: [], there_already: [], refused: null };
      for (const entry of entries) {
        if (this.entriesHeld.some(({ id }) => id === entry.id)) {
          answer.there_already.push(entry.id);
          continue;
        }
        const words = this.refuses(entry);
        if (words !== null) {
          answer.refused = { id: entry.id, words };
          break;
        }
        const { change } = entry;
        const photos = change.kind === 'took_out' ? change.photos : [];
        if (photos.some((photo) => !this.photosHeld.has(photo))) this.tooEarly.push(entry.id);
        this.entriesHeld.push(entry);
        answer.kept.push(entry.id);
      }
      return answer;
    });
  }

  async #through<T>(work: () => T): Promise<T> {
    this.requests++;
    this.mostAtOnce = Math.max(this.mostAtOnce, ++this.atOnce);
    try {
      await this.pass();
      const answer = work();
      await this.pass();
      return answer;
    } finally {
      this.atOnce--;
    }
  }
}

const entry = (change: LogChange): LogEntry => {
  return { id: newId(), by: '', at: '2026-05-04T09:30:00.000Z', change };
};
const note = (words: string) => entry({ kind: 'annotated', step: newId(), note: words });

function tookOut(name: string, photos: string[]): LogEntry {
  return entry({
    kind: 'took_out',
    step: newId(),
    parts: [{ id: newId(), kind: null, name, traits: [], condition: '', verdict: null }],
    side: 'train',
    groups: [],
    from_assembly: null,
    screws: [],
    way_up: '',
    rested_on: [],
    was_under: [],
    under_tension: false,
    compartment: '',
    photos,
    note: '',
  });
}

const photo = (id: string, size = 100) => {
  return { id, name: 'photo.jpg', picture: new Blob(['x'.repeat(size)], { type: 'image/jpeg' }) };
};

function windowOn(server: Server, name = newId()) {
  const shelf = new Shelf(name);
  return { shelf, outbox: new Outbox(shelf, server, turnOf(shelf)) };
}

const names = (server: Server) =>
  server.entriesHeld.map(({ change }) =>
    change.kind === 'took_out' ? change.parts[0]?.name : change.kind === 'annotated' ? change.note : '',
  );

for (const seed of [1, 2, 3, 4, 5, 6, 7, 8]) {
  test(`30 steps with photos arrive once and in order over a bad line (${seed})`, async () => {
    const random = chance(seed);
    const server = new Server(() => {
      if (random() < 0.35) throw new NoAnswer();
    });
    let { shelf, outbox } = windowOn(server);
    const wanted: string[] = [];
    const sizes = new Map<string, number>();
    for (let n = 0; n < 30; n++) {
      const photos = Array.from({ length: 1 + Math.floor(random() * 2) }, () => photo(newId(), 50 + n));
      for (const { id, picture } of photos) sizes.set(id, picture.size);
      await outbox.add('job', photos, [tookOut(`step ${n}`, photos.map(({ id }) => id))]);
      wanted.push(`step ${n}`);
      // The page is closed at any moment, and opened again.
      if (random() < 0.2) {
        outbox.stop();
        ({ shelf, outbox } = windowOn(server));
      }
    }
    for (let tries = 0; (await shelf.list()).length > 0; tries++) {
      expect(tries).toBeLessThan(1000);
      await outbox.send();
    }
    outbox.stop();
    expect(names(server)).toEqual(wanted);
    expect(server.tooEarly).toEqual([]);
    expect(server.photosHeld).toEqual(sizes);
    // The line was in truth cut: more requests than things to send.
    expect(server.requests).toBeGreaterThan(sizes.size + 30);
  });
}

test('two windows of one browser never send at the same time', async () => {
  const server = new Server(() => new Promise((resolve) => setTimeout(resolve, 1)));
  const one = windowOn(server);
  const other = windowOn(server);
  const laid: Promise<unknown>[] = [];
  for (let n = 0; n < 10; n++) {
    laid.push(one.outbox.add('job', [], [note(`one ${n}`)]), other.outbox.add('job', [], [note(`other ${n}`)]));
  }
  await Promise.all(laid);
  await vi.waitFor(async () => {
    one.outbox.wake();
    other.outbox.wake();
    expect(await one.shelf.list()).toEqual([]);
  }, 20_000);
  expect(server.mostAtOnce).toBe(1);
  expect(names(server)).toHaveLength(20);
  expect(new Set(names(server)).size).toBe(20);
});

test('pictures that take long to read do not let a later step go first', async () => {
  const server = new Server();
  const { shelf, outbox } = windowOn(server);
  const slow = photo(newId());
  slow.picture.arrayBuffer = async () => {
    await new Promise((resolve) => setTimeout(resolve, 30));
    return new ArrayBuffer(100);
  };
  await Promise.all([
    outbox.add('job', [slow], [tookOut('first', [slow.id])]),
    outbox.add('job', [], [tookOut('second', [])]),
  ]);
  await vi.waitFor(async () => expect(await shelf.list()).toEqual([]));
  expect(names(server)).toEqual(['first', 'second']);
});

test('what is refused stays, with the sentence, holds its job back and no other', async () => {
  let refusing = true;
  const server = new Server(undefined, ({ change }) =>
    refusing && change.kind === 'annotated' && change.note === 'bad' ? 'It would cover open work.' : null,
  );
  const { shelf, outbox } = windowOn(server);
  const bad = note('bad');
  await outbox.add('job', [], [note('before'), bad, note('after')]);
  await outbox.add('other', [], [note('of another job')]);
  await outbox.send();
  await outbox.send();
  expect(names(server)).toEqual(['before', 'of another job']);
  const waiting = await shelf.list();
  expect(waiting.map(({ refusal }) => refusal)).toEqual(['It would cover open work.', '']);
  // The user lets what follows go first, and what was refused is not lost.
  await outbox.putLast(bad.id);
  await vi.waitFor(() => expect(names(server)).toContain('after'));
  await vi.waitFor(async () => expect((await shelf.list())[0]?.refusal).not.toBe(''));
  refusing = false;
  await outbox.retry(bad.id);
  await vi.waitFor(() => expect(names(server).at(-1)).toBe('bad'));
  outbox.stop();
});

test('one entry that cannot be read does not take its neighbours with it', async () => {
  const server = new Server();
  const line: Line = {
    photo: (job, id, picture) => server.photo(job, id, picture),
    entries: async (job, entries) => {
      if (entries.some(({ change }) => change.kind === 'annotated' && change.note === 'odd')) {
        throw new Refused(422, 'unreadable', 'note: it holds a control character.');
      }
      return await server.entries(job, entries);
    },
  };
  const shelf = new Shelf('w');
  const outbox = new Outbox(shelf, line, turnOf(shelf));
  const odd = note('odd');
  await outbox.add('job', [], [note('a'), note('b'), odd, note('c')]);
  await outbox.send();
  await outbox.send();
  expect(names(server)).toEqual(['a', 'b']);
  expect((await shelf.list())[0]?.refusal).toMatch(/control character/);
  await outbox.retry(odd.id, { ...odd, change: { kind: 'annotated', step: newId(), note: 'mended' } });
  await vi.waitFor(() => expect(names(server)).toEqual(['a', 'b', 'mended', 'c']));
});

test('a device that was turned out keeps everything and is told why', async () => {
  const line: Line = {
    photo: async () => undefined,
    entries: async () => {
      throw new Refused(401, 'stranger', 'This device has not joined.');
    },
  };
  const shelf = new Shelf('w');
  const outbox = new Outbox(shelf, line, turnOf(shelf));
  await outbox.add('job', [], [note('a')]);
  await outbox.send();
  outbox.stop();
  expect(outbox.trouble).toBe('This device has not joined.');
  expect((await shelf.list()).map(({ refusal }) => refusal)).toEqual(['']);
});

test('a photo that is given up is no longer named by what waits behind it', async () => {
  let open = false;
  const server = new Server();
  const line: Line = {
    photo: async () => {
      throw new Refused(415, 'no_picture', 'This is no picture that can be read.');
    },
    entries: async (job, entries) => {
      if (!open) throw new NoAnswer();
      return await server.entries(job, entries);
    },
  };
  const shelf = new Shelf('w');
  const outbox = new Outbox(shelf, line, turnOf(shelf));
  const bad = photo(newId());
  const step = tookOut('with a bad photo', [bad.id]);
  const more = entry({ kind: 'photo_added', step: newId(), photo: bad.id });
  await outbox.add('job', [bad], [step, more]);
  await outbox.send();
  expect((await shelf.list()).map(({ refusal }) => refusal)).toEqual([
    'This is no picture that can be read.', '', '',
  ]);
  open = true;
  await outbox.drop(bad.id);
  await vi.waitFor(async () => expect(await shelf.list()).toEqual([]));
  expect(server.entriesHeld.map(({ id }) => id)).toEqual([step.id]);
  expect(server.tooEarly).toEqual([]);
});

test('without a database of the browser all works while the page is open', async () => {
  vi.stubGlobal('indexedDB', undefined);
  let cut = true;
  const server = new Server(() => {
    if (cut) throw new NoAnswer();
  });
  const { shelf, outbox } = windowOn(server);
  expect(await shelf.outlives()).toBe(false);
  const one = photo(newId());
  expect(await outbox.add('job', [one], [tookOut('a', [one.id])])).toBe('in_page');
  expect(await outbox.add('job', [], [tookOut('b', [])])).toBe('in_page');
  await outbox.send();
  expect(await shelf.list()).toHaveLength(3);
  cut = false;
  await outbox.send();
  await vi.waitFor(async () => expect(await shelf.list()).toEqual([]));
  expect(names(server)).toEqual(['a', 'b']);
  expect(server.tooEarly).toEqual([]);
});

test('where there is no room for pictures the step is kept, and the picture is sent by this page', async () => {
  let cut = true;
  const server = new Server(() => {
    if (cut) throw new NoAnswer();
  });
  const { shelf, outbox } = windowOn(server);
  await outbox.add('job', [], [tookOut('before', [])]);
  const { put } = IDBObjectStore.prototype;
  vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(function (this: IDBObjectStore, ...all) {
    if (this.name === 'pictures') throw new DOMException('full', 'QuotaExceededError');
    return put.apply(this, all);
  });
  const one = photo(newId());
  expect(await outbox.add('job', [one], [tookOut('full', [one.id])])).toBe('pictures_in_page');
  outbox.stop();

  // Another window cannot send what it has not; it leaves it, and what follows, alone.
  cut = false;
  const other = windowOn(server);
  await other.outbox.send();
  other.outbox.stop();
  expect(names(server)).toEqual(['before']);
  expect((await shelf.list()).map(({ kind, refusal }) => [kind, refusal])).toEqual([
    ['photo', ''],
    ['entry', ''],
  ]);
  await outbox.send();
  await vi.waitFor(async () => expect(await shelf.list()).toEqual([]));
  expect(names(server)).toEqual(['before', 'full']);
  expect(server.tooEarly).toEqual([]);
});

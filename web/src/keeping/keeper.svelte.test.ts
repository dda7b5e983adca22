// @vitest-environment jsdom

import { beforeEach, expect, test, vi } from 'vitest';
import { NoAnswer, Refused } from '../server/request';
import { Keeper, type Send } from './keeper.svelte';

interface Note {
  id: string;
  version: number;
  title: string;
  text: string;
}

/** A record at a server that counts versions and refuses changes based on an older one. */
class Shelf {
  held: Note = { id: 'n1', version: 1, title: 'lever', text: 'dry' };
  trouble: Error | null = null;
  changes: Partial<Note>[] = [];

  readonly send: Send<Note> = async (changes) => {
    if (this.trouble) throw this.trouble;
    this.changes.push(changes);
    if (changes.version !== this.held.version) {
      throw new Refused(409, 'conflict', 'Somebody was faster.', { ...this.held });
    }
    this.held = { ...this.held, ...changes, version: this.held.version + 1 };
    return { ...this.held };
  };

  /** Somebody else's change. */
  other(changes: Partial<Note>) {
    this.held = { ...this.held, ...changes, version: this.held.version + 1 };
  }

  keeper(): Keeper<Note> {
    return new Keeper('note', { ...this.held }, this.send);
  }
}

let shelf: Shelf;
beforeEach(() => {
  vi.useFakeTimers();
  shelf = new Shelf();
});

const pass = (ms: number) => vi.advanceTimersByTimeAsync(ms);

test('what is typed is kept once, a moment after the last key', async () => {
  const keeper = shelf.keeper();
  for (const text of ['o', 'oi', 'oiled']) keeper.set('text', text);
  expect(shelf.changes).toEqual([]);
  expect(keeper.mark('text')).toBe('changed');
  await pass(1000);
  expect(shelf.changes).toEqual([{ version: 1, text: 'oiled' }]);
  expect(shelf.held.text).toBe('oiled');
  expect(keeper.mark('text')).toBe('kept');
  expect(keeper.fresh.text).toBe(true);
  await pass(5000);
  expect(keeper.fresh.text).toBeUndefined();
});

test('a key pressed while an earlier change is under way is kept as well', async () => {
  let answer: (() => void) | undefined;
  const slow: Send<Note> = async (changes, leaving) => {
    await new Promise<void>((resolve) => (answer = resolve));
    return shelf.send(changes, leaving);
  };
  const keeper = new Keeper('note', { ...shelf.held }, slow);
  keeper.set('text', 'one');
  await pass(1000);
  keeper.set('text', 'one two');
  answer?.();
  await pass(1000);
  expect(shelf.held.text).toBe('one');
  expect(keeper.value('text')).toBe('one two');
  answer?.();
  await pass(1000);
  expect(shelf.held.text).toBe('one two');
  expect(keeper.open).toBe(false);
});

test('a change to another field by somebody else is no conflict', async () => {
  const keeper = shelf.keeper();
  shelf.other({ title: 'fork' });
  keeper.set('text', 'oiled');
  await pass(3000);
  expect(shelf.held).toMatchObject({ title: 'fork', text: 'oiled' });
  expect(keeper.value('title')).toBe('fork');
  expect(keeper.mark('text')).toBe('kept');
});

test('a change to the same field shows both, and nothing is overwritten', async () => {
  const keeper = shelf.keeper();
  shelf.other({ text: 'cleaned' });
  keeper.set('text', 'oiled');
  await pass(3000);
  expect(keeper.mark('text')).toBe('conflict');
  expect(keeper.value('text')).toBe('oiled');
  expect(keeper.edits.text?.theirs).toBe('cleaned');
  expect(shelf.held.text).toBe('cleaned');

  keeper.choose('text', 'mine');
  await pass(1000);
  expect(shelf.held.text).toBe('oiled');
  expect(keeper.open).toBe(false);
});

test('typing on after a conflict does not overwrite the other value', async () => {
  const keeper = shelf.keeper();
  shelf.other({ text: 'cleaned' });
  keeper.set('text', 'oil');
  await pass(3000);
  keeper.set('text', 'oiled');
  await pass(3000);
  expect(keeper.mark('text')).toBe('conflict');
  expect(keeper.value('text')).toBe('oiled');
  expect(shelf.held.text).toBe('cleaned');
  keeper.choose('text', 'mine');
  await pass(1000);
  expect(shelf.held.text).toBe('oiled');
});

test('the other value can be taken', async () => {
  const keeper = shelf.keeper();
  shelf.other({ text: 'cleaned' });
  keeper.set('text', 'oiled');
  await pass(3000);
  keeper.choose('text', 'theirs');
  await pass(3000);
  expect(keeper.value('text')).toBe('cleaned');
  expect(shelf.held.text).toBe('cleaned');
});

test('a newer record that arrives while one types is a conflict too', async () => {
  const keeper = shelf.keeper();
  keeper.set('text', 'oiled');
  shelf.other({ text: 'cleaned' });
  keeper.meet({ ...shelf.held });
  await pass(3000);
  expect(keeper.mark('text')).toBe('conflict');
  expect(shelf.held.text).toBe('cleaned');
});

test('an older record that arrives late changes nothing', async () => {
  const keeper = shelf.keeper();
  const old = { ...shelf.held };
  keeper.set('text', 'oiled');
  await pass(1000);
  keeper.meet(old);
  expect(keeper.value('text')).toBe('oiled');
});

test('without an answer the text stays and is sent until it is kept', async () => {
  const keeper = shelf.keeper();
  shelf.trouble = new NoAnswer();
  keeper.set('text', 'oiled');
  await pass(5000);
  expect(keeper.mark('text')).toBe('waiting');
  expect(keeper.value('text')).toBe('oiled');
  shelf.trouble = null;
  await pass(20_000);
  expect(shelf.held.text).toBe('oiled');
  expect(keeper.mark('text')).toBe('kept');
});

test('what the server will not have stays in the field with its reason', async () => {
  const keeper = shelf.keeper();
  shelf.trouble = new Refused(422, 'too_long', 'That is too long.');
  keeper.set('text', 'oiled');
  await pass(60_000);
  expect(keeper.mark('text')).toBe('refused');
  expect(keeper.edits.text?.message).toBe('That is too long.');
  expect(keeper.value('text')).toBe('oiled');
});

test('what was not kept is there again when the page is opened anew', async () => {
  const before = shelf.keeper();
  shelf.trouble = new NoAnswer();
  before.set('text', 'oiled');
  await pass(2000);
  before.close();
  shelf.trouble = null;
  const after = shelf.keeper();
  expect(after.value('text')).toBe('oiled');
  await pass(2000);
  expect(shelf.held.text).toBe('oiled');
  expect(localStorage.length).toBe(0);
});

test('a draft from before somebody else wrote is a conflict, not a victory', async () => {
  const before = shelf.keeper();
  shelf.trouble = new NoAnswer();
  before.set('text', 'oiled');
  await pass(100);
  before.close();
  await pass(100);
  shelf.trouble = null;
  shelf.other({ text: 'cleaned' });
  const after = shelf.keeper();
  await pass(3000);
  expect(after.mark('text')).toBe('conflict');
  expect(shelf.held.text).toBe('cleaned');
});

test('a change that is taken back is not sent', async () => {
  const keeper = shelf.keeper();
  keeper.set('text', 'oiled');
  keeper.set('text', 'dry');
  await pass(3000);
  expect(shelf.changes).toEqual([]);
});

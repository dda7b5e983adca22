// @vitest-environment jsdom

import { expect, test } from 'vitest';
import { draftAgain, draftOf, MEANS, moveOf, type MoveDraft } from './move';
import { keepNear, nearWish, readNear } from './near';

const draft = (given: Partial<MoveDraft>): MoveDraft => ({ ...draftOf('A', 'index', null), ...given });

test('what is advised is filled in with its way, to two figures', () => {
  expect(draftOf('B', 'index', -1.2345)).toMatchObject({ balance: 'B', by: 'index', size: '1.2', way: 'minus' });
  expect(draftOf('A', 'stud', 0.0204)).toMatchObject({ size: '0.02', way: 'plus' });
  expect(draftOf('A', 'stud', null)).toMatchObject({ size: '', way: 'plus' });
});

test('a move has the sign of its way', () => {
  expect(moveOf(draft({ size: '1,5', way: 'minus', note: ' slipped ' }))).toEqual({
    balance: 'A',
    by: 'index',
    amount: -1.5,
    note: 'slipped',
  });
  expect(moveOf(draft({ size: '' }))).toMatchObject({ amount: null });
  // A size that was typed before another means was chosen is not sent.
  expect(moveOf(draft({ by: 'other', size: '3', note: 'hairspring bent' }))).toMatchObject({ amount: null });
});

test('what cannot be read is said at its field', () => {
  for (const size of ['x', '0', '-2']) expect(moveOf(draft({ size })), size).toMatchObject({ field: 'size' });
  expect(moveOf(draft({ by: 'other' }))).toMatchObject({ field: 'note' });
  expect(moveOf(draft({ at: 'yesterday' }))).toMatchObject({ field: 'at' });
});

test('a move made earlier is entered with its moment', () => {
  const move = moveOf(draft({ at: '2026-05-01T08:30' }));
  expect(move).toMatchObject({ at: new Date(2026, 4, 1, 8, 30).toISOString() });
});

test('a move that is mended comes back as it was', () => {
  const was = { id: 'm', version: 2, job_id: 'j', balance: '', at: '', by: 'mass' as const, amount: -0.123456, note: 'n', words: '' };
  expect(moveOf(draftAgain(was))).toEqual({ balance: '', by: 'mass', amount: -0.123456, note: 'n' });
});

test('every means has its words once', () => {
  expect(new Set(MEANS.map(({ words }) => words)).size).toBe(MEANS.length);
});

test('near enough is kept on this device, within what the program takes', () => {
  expect(nearWish()).toBeNull();
  keepNear(1.5);
  expect(nearWish()).toBe(1.5);
  keepNear(null);
  expect(nearWish()).toBeNull();
  expect(['0,5', '0.05', '101', 'x', ''].map(readNear)).toEqual([0.5, undefined, undefined, undefined, undefined]);
});

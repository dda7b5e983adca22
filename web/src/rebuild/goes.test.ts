import { expect, test } from 'vitest';
import { oilThird, work } from '../bench/movement.test-kit';
import { itemsOf, keyOf, settled } from './goes';
import type { Todo } from './next';

const todo = (rule: string): Todo => ({ work: work(rule, { kind: 'check' }), why: '', blocks: false });
const [one, two, three, other] = ['endshake-a', 'endshake-b', 'endshake-c', 'winds'].map(todo) as [Todo, Todo, Todo, Todo];
const NONE = new Set<string>();
const together = [{ words: 'Endshake of the train', work: [one, two, three].map(({ work }) => work.work) }];

test('like work at one moment is one item, in the order of the plan', () => {
  const items = itemsOf([other, one, two, three], together, NONE);
  expect(items.map(({ kind }) => kind)).toEqual(['one', 'go']);
  expect(items[1]).toMatchObject({ words: 'Endshake of the train', todos: [one, two, three] });
  expect(new Set(items.map(keyOf)).size).toBe(2);
});

test('what is left of it alone stands alone, and what is parted by other work is not joined', () => {
  expect(itemsOf([two], together, NONE).map(({ kind }) => kind)).toEqual(['one']);
  expect(itemsOf([one, other, two, three], together, NONE).map(({ kind }) => kind)).toEqual(['one', 'one', 'go']);
});

test('where all is well a check is good and oil is done from its bottle', () => {
  expect(settled(one.work)).toMatchObject({ kind: 'check_made', outcome: 'good', value: null });
  expect(settled(oilThird)).toMatchObject({ kind: 'work_done', bottle: oilThird.bottle?.id ?? null });
});

test('what is wished one by one is not joined', () => {
  const items = itemsOf([one, two], [{ words: '', work: [one, two].map(({ work }) => work.work) }], new Set([one.work.work.rule]));
  expect(items.map(({ kind }) => kind)).toEqual(['one', 'one']);
});

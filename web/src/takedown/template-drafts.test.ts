import { expect, test } from 'vitest';
import type { LogChange } from '../wire/LogChange';
import { freshDraft } from './step-draft';
import { afterEntered, afterNotThere, nextOffered, type TookOut } from './template-drafts';

function took(step: string, parts: string[], rested_on: string[] = []): TookOut {
  const { demands: _, ...draft } = freshDraft([]);
  const all = parts.map((id) => {
    return { id, kind: null, name: id, traits: [], condition: '', verdict: null };
  });
  return { ...draft, kind: 'took_out', step, parts: all, rested_on };
}
const relation = (first: string, then: string): LogChange => {
  return { kind: 'relation_added', first, then, why: 'said so' };
};
const drafts: LogChange[] = [
  took('one', ['a'], ['c']),
  took('two', ['b']),
  took('three', ['c']),
  relation('b', 'a'),
  relation('c', 'a'),
];

test('steps are offered in their order, without those that are in the list', () => {
  expect(nextOffered(drafts, [])?.step).toBe('one');
  expect(nextOffered(drafts, ['one', 'two'])?.step).toBe('three');
  expect(nextOffered(drafts, ['one', 'two', 'three'])).toBeUndefined();
});

test('a relation is entered with the last of its parts', () => {
  const first = afterEntered(drafts, drafts[0] as TookOut);
  expect(first.also).toEqual([]);
  const second = afterEntered(first.left, drafts[1] as TookOut);
  expect(second.also).toEqual([relation('b', 'a')]);
  expect(afterEntered(second.left, drafts[2] as TookOut)).toEqual({ left: [], also: [relation('c', 'a')] });
});

test('nothing refers to what is not there', () => {
  const left = afterNotThere(drafts, drafts[2] as TookOut);
  expect(left).toEqual([took('one', ['a'], []), took('two', ['b']), relation('b', 'a')].map((change) =>
    change.kind === 'took_out' ? expect.objectContaining({ step: change.step, rested_on: [] }) : change,
  ));
});

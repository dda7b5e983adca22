import { expect, test } from 'vitest';
import { MOVEMENT, TRADE } from '../bench/movement.test-kit';
import {
  changesOfMended,
  changesOfNew,
  draftOfStep,
  freshDraft,
  newPart,
  newScrews,
  openDemands,
} from './step-draft';

const kindOf = (id: string | null) => TRADE.kinds.find((kind) => kind.id === id);
const fork = kindOf('pallet-fork')!;
const bridge = MOVEMENT.steps[7]!;

test('a new step begins where the last one ended', () => {
  expect(freshDraft([])).toMatchObject({ side: 'dial', groups: [], compartment: '1' });
  expect(freshDraft([bridge])).toMatchObject({ side: 'train', groups: ['A'], compartment: '9', parts: [] });
});

test('what has to be done before is asked once, and not again where it is settled', () => {
  const draft = { ...freshDraft([]), parts: [newPart(fork), newPart(kindOf('pallet-cock')!)] };
  const [demand, ...more] = openDemands(draft, { settled: [] }, kindOf);
  expect(more).toEqual([]);
  expect(demand?.work).toEqual({ rule: 'let-down-before-fork-and-train', on: { kind: 'movement' } });
  const settled = [{ ...MOVEMENT.settled[0]!, work: demand!.work }];
  expect(openDemands(draft, { settled }, kindOf)).toEqual([]);
});

test('a settled demand is entered before the step, with its reason where it was skipped', () => {
  const draft = { ...freshDraft([]), parts: [newPart(fork)], way_up: ' stones up ' };
  const demands = openDemands(draft, { settled: [] }, kindOf);
  const key = demands[0]!.key;
  const done = changesOfNew({ ...draft, demands: { [key]: { done: true } } }, demands);
  expect(done.map(({ kind }) => kind)).toEqual(['work_done', 'took_out']);
  expect(done[1]).toMatchObject({ way_up: 'stones up' });
  expect(done[1]).not.toHaveProperty('demands');
  const skipped = changesOfNew(
    { ...draft, demands: { [key]: { done: false, reason: ' no spring in it ' } } },
    demands,
  );
  expect(skipped[0]).toMatchObject({ kind: 'skipped', reason: 'no spring in it' });
});

test('a step that is opened and kept as it is changes nothing', () => {
  for (const step of MOVEMENT.steps) {
    const draft = draftOfStep(step, kindOf);
    expect(changesOfMended(draft, structuredClone(draft))).toEqual([]);
  }
});

test('only what was put right is entered', () => {
  const before = draftOfStep(bridge, kindOf);
  const after = structuredClone(before);
  after.side = 'dial';
  after.parts[0]!.verdict = 'repair';
  const set = { ...newScrews(), count: 3 };
  after.screws = [set];
  expect(changesOfMended(before, after)).toEqual([
    { kind: 'amended', step: bridge.id, fix: { side: 'dial', screws: [set] } },
    { kind: 'part_amended', part: bridge.parts[0]!.id, fix: { verdict: 'repair' } },
  ]);
});

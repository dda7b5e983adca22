import { expect, test } from 'vitest';
import { MOVEMENT, oilThird } from '../bench/movement.test-kit';
import { overlaid } from '../bench/overlay';
import type { Movement } from '../wire/Movement';
import { layersOf } from './layers';
import { freeSteps, nowOf } from './next';

const seen = (movement: Movement = MOVEMENT) => overlaid(movement, [], () => undefined);
const bridge = MOVEMENT.steps[7]!;
const planFrom = (n: number) => seen({ ...MOVEMENT, plan: MOVEMENT.plan.slice(n) });

test('the next is the first step of the plan, with the work that comes before it', () => {
  const now = nowOf(seen(), null);
  expect(now).toMatchObject({
    what: 'place',
    step: { id: bridge.id },
    todos: [{ work: { words: oilThird.words }, blocks: true }],
    missing: [],
  });
});

test('a step chosen against the plan brings the work that it would cover, and what it lacks', () => {
  // As if the plan had the oiling nowhere near.
  const now = nowOf(planFrom(2), bridge.id);
  expect(now).toMatchObject({ what: 'place', todos: [{ work: { words: oilThird.words }, blocks: true }] });
  const fork = nowOf(seen(), MOVEMENT.steps[6]!.id);
  expect(fork).toMatchObject({ what: 'place', missing: [{ id: bridge.id }] });
});

test('turning is asked for when it comes first, and work of this side before it', () => {
  expect(nowOf(planFrom(10), null)).toMatchObject({ what: 'turn', up: 'dial' });
  const work = MOVEMENT.plan[0]!;
  const plan = [work, ...MOVEMENT.plan.slice(10)];
  expect(nowOf(seen({ ...MOVEMENT, plan }), null)).toMatchObject({ what: 'work', todos: [{}] });
});

test('at the end of the plan is the end', () => {
  expect(nowOf(seen({ ...MOVEMENT, plan: [] }), null)).toEqual({ what: 'end' });
});

test('only what lacks nothing could go in', () => {
  expect(freeSteps(seen()).map(({ name }) => name)).toEqual([
    'train bridge A',
    'balance complete and balance cock B',
    'hour wheel and cannon pinion',
  ]);
});

test('layers stand as they lie on the bench, the side that is up first', () => {
  const [up, other] = layersOf(seen(), bridge);
  expect(up?.side).toBe('train');
  expect(other?.side).toBe('dial');
  expect(up?.layers.map(({ layer }) => layer)).toEqual([6, 5, 4, 3, 2, 1, 0]);
  const states = new Map(up?.layers.flatMap(({ cells }) => cells.map((cell) => [cell.step.name, cell])));
  expect(states.get('train bridge A')?.state).toBe('next');
  expect(states.get('train bridge B')?.state).toBe('in');
  expect(states.get('pallet fork and pallet cock A')?.state).toBe('waits');
  expect(states.get('third wheel and escape wheel A')).toMatchObject({ state: 'in', covered: 1 });
});

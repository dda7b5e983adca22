import { expect, test } from 'vitest';
import { newId } from './ids';
import type { LogChange } from '../wire/LogChange';
import type { LogEntry } from '../wire/LogEntry';
import { MOVEMENT, oilThird, TRADE } from './movement.test-kit';
import { overlaid, workKey } from './overlay';

const entry = (change: LogChange): LogEntry => ({ id: newId(), by: '', at: '2026-05-05T11:00:00.000Z', change });
const over = (...changes: LogChange[]) =>
  overlaid(MOVEMENT, changes.map((change) => ({ entry: entry(change), sent: false })), (id) =>
    TRADE.kinds.find((kind) => kind.id === id),
  );
const bridge = MOVEMENT.steps[7]!;

const out = (step: string): LogChange => ({
  kind: 'took_out',
  step,
  parts: [{ id: newId(), kind: 'click-spring', name: '', traits: [], condition: '', verdict: null }],
  side: 'train',
  groups: ['C'],
  from_assembly: null,
  screws: [{ id: newId(), count: 2, length_mm: null, look: '', thread: 'left', place: '' }],
  way_up: '',
  rested_on: [],
  was_under: [],
  under_tension: true,
  compartment: '16',
  photos: [],
  note: '',
});

test('a step that waits stands last in the list, marked, with its parts and screws in the tray', () => {
  const step = newId();
  const seen = over(out(step));
  expect(seen.steps.at(-1)).toMatchObject({ id: step, name: 'click spring C' });
  expect(seen.steps.at(-1)?.screws[0]?.words).toBe('2 screws, left-handed');
  expect(seen.waitingSteps).toEqual(new Set([step]));
  expect(seen.groups).toEqual(['A', 'B', 'C']);
  expect(seen.progress.parts_in_tray).toBe(MOVEMENT.progress.parts_in_tray + 1);
  expect(seen.progress.screws_in_tray).toBe(MOVEMENT.progress.screws_in_tray + 2);
});

test('what the server has already is not there twice', () => {
  const same = out(bridge.id);
  expect(over(same).steps).toHaveLength(MOVEMENT.steps.length);
});

test('work that waits as done no longer blocks, and leaves the plan', () => {
  const seen = over({ kind: 'work_done', work: oilThird.work, bottle: null, note: '' });
  expect(seen.steps[7]?.placing?.would_cover).toEqual([]);
  expect(seen.plan[0]).toMatchObject({ action: 'place', step: bridge.id });
  expect(seen.waitingWork).toEqual(new Set([workKey(oilThird.work)]));
  expect(seen.progress.open_work).toBe(MOVEMENT.progress.open_work - 1);
  expect(seen.settled.at(-1)).toMatchObject({ status: 'done', words: oilThird.words });
});

test('a check that came out bad stays open', () => {
  const seen = over({ kind: 'check_made', work: oilThird.work, outcome: 'bad', value: null, note: '' });
  expect(seen.plan).toEqual(MOVEMENT.plan);
});

test('a placing is seen at once, and one that is taken back is not', () => {
  const seen = over({ kind: 'placed', step: bridge.id });
  expect(seen.steps[7]?.placed_at).toBe('2026-05-05T11:00:00.000Z');
  expect(seen.progress.parts_in).toBe(MOVEMENT.progress.parts_in + 1);
  expect(seen.progress.screws_in).toBe(MOVEMENT.progress.screws_in + 3);
  expect(seen.plan.some((action) => action.action === 'place' && action.step === bridge.id)).toBe(false);

  const placed = entry({ kind: 'placed', step: bridge.id });
  const back = entry({ kind: 'taken_back', entry: placed.id });
  const none = overlaid(MOVEMENT, [{ entry: placed, sent: false }, { entry: back, sent: false }], () => undefined);
  expect(none.steps[7]?.placed_at).toBeNull();
});

test('a step is mended, moved, split and taken back', () => {
  const [first, second] = MOVEMENT.steps;
  const amended = over({ kind: 'amended', step: bridge.id, fix: { side: 'dial', compartment: 'lid' } });
  expect(amended.steps[7]).toMatchObject({ side_words: 'dial side', compartment: 'lid', way_up: bridge.way_up });
  const part = over({ kind: 'part_amended', part: bridge.parts[0]!.id, fix: { verdict: 'repair' } });
  expect(part.steps[7]?.parts[0]).toMatchObject({ verdict: 'repair', name: 'train bridge' });
  const moved = over({ kind: 'moved', step: bridge.id, after: first!.id });
  expect(moved.steps.slice(0, 3).map(({ id }) => id)).toEqual([first!.id, bridge.id, second!.id]);
  const five = MOVEMENT.steps[4]!;
  const piece = newId();
  const split = over({
    kind: 'split',
    step: five.id,
    into: [{ step: piece, parts: [five.parts[0]!.id], screws: [] }],
  });
  expect(split.steps.slice(4, 6).map(({ id, name }) => [id, name])).toEqual([
    [piece, 'balance complete A'],
    [five.id, 'balance cock A'],
  ]);
  expect(split.steps[5]?.screws).toEqual(five.screws);
  expect(over({ kind: 'taken_back', entry: bridge.entry }).steps).not.toContain(bridge);
});

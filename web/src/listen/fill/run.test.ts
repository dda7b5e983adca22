import { expect, test } from 'vitest';
import { begin, BY_HAND, CUT, NOT_KEPT, RESTLESS, step, type Happening, type Place, type Run } from './run';

const PLACES: Place[] = [
  { position: 'CH', wind: 'full wind' },
  { position: '6H', wind: 'full wind' },
];
const quiet: Happening = { what: 'sound', steady: true, handled: false, elapsed_s: 10 };
const hands: Happening = { what: 'sound', steady: false, handled: true, elapsed_s: 11 };
const heard: Happening = { what: 'heard' };
const taken = (taking: boolean, elapsed_s = 30): Happening => ({ what: 'taking', taking, elapsed_s });

/** Runs through all that happens; gives back the run and every deed in order. */
function through(from: Run, ...all: Happening[]) {
  const deeds: string[] = [];
  let run = from;
  for (const one of all) {
    const next = step(run, one);
    run = next.run;
    deeds.push(...next.deeds);
  }
  return { run, deeds };
}
const started = begin(PLACES).run;

test('hands at the watch, then stillness, then it is heard: the reading begins by itself', () => {
  expect(begin(PLACES).deeds).toEqual(['call']);
  const { run, deeds } = through(started, quiet, heard, hands, quiet, quiet, heard);
  expect(deeds).toEqual(['hear_anew', 'begin']);
  expect(run.phase).toBe('reading');
});

test('a watch that lies still as it was is not read in the next position', () => {
  const { run, deeds } = through(started, quiet, heard, quiet, heard, quiet, heard);
  expect(deeds).toEqual([]);
  expect(run.phase).toBe('called');
});

test('whoever says that it lies as called need not touch it', () => {
  const { deeds } = through(started, quiet, { what: 'laid' }, heard);
  expect(deeds).toEqual(['hear_anew', 'begin']);
});

test('what was heard while hands were at it counts for nothing', () => {
  const { run, deeds } = through(started, hands, heard, quiet, hands, heard);
  expect(deeds).toEqual(['hear_anew']);
  expect(run.phase).toBe('settling');
  expect(through(run, quiet, heard).deeds).toEqual(['hear_anew', 'begin']);
});

const reading = through(started, hands, quiet, heard, taken(true)).run;

test('when a reading is kept the next position is called, and after the last nothing', () => {
  const first = step(reading, { what: 'kept', reading: 'r1' });
  expect(first.deeds).toEqual(['call']);
  expect(first.run).toMatchObject({ at: 1, phase: 'called', kept: ['r1', null] });
  const { run, deeds } = through(first.run, hands, quiet, heard, taken(true), taken(false), { what: 'kept', reading: 'r2' });
  expect(deeds).toEqual(['hear_anew', 'begin', 'finish']);
  expect(run).toMatchObject({ phase: 'done', kept: ['r1', 'r2'] });
});

test('hands during a reading throw it away and begin it anew, but not for ever', () => {
  const again = through(reading, hands);
  expect(again.deeds).toEqual(['cancel']);
  expect(again.run).toMatchObject({ at: 0, phase: 'settling', paused: null });
  const rounds = [quiet, heard, taken(true), hands];
  const { run } = through(again.run, ...rounds, ...rounds);
  expect(run.paused).toBe(RESTLESS);
  expect(through(run, quiet, heard).deeds).toEqual([]);
});

test('a paused run lets its reading end, and calls when it goes on', () => {
  const { run, deeds } = through(reading, { what: 'pause' }, hands, taken(false), { what: 'kept', reading: 'r1' });
  expect(deeds).toEqual([]);
  expect(run).toMatchObject({ at: 1, phase: 'called', paused: BY_HAND });
  const on = step(run, { what: 'resume', kept: null, taking: false });
  expect(on.deeds).toEqual(['call']);
  expect(on.run.paused).toBeNull();
});

test('a cut line pauses; what was kept meanwhile is found again', () => {
  const cut = step(reading, { what: 'cut' }).run;
  expect(cut.paused).toBe(CUT);
  const kept = step(cut, { what: 'resume', kept: 'r1', taking: false });
  expect(kept.run).toMatchObject({ at: 1, phase: 'called', kept: ['r1', null] });
  expect(kept.deeds).toEqual(['call']);
  // Still being taken: it is waited for.
  expect(step(cut, { what: 'resume', kept: null, taking: true }).run).toMatchObject({ at: 0, phase: 'reading' });
  // Neither: it is called again.
  expect(step(cut, { what: 'resume', kept: null, taking: false })).toMatchObject({
    run: { at: 0, phase: 'called', paused: null },
    deeds: ['call'],
  });
});

test('a reading that ends and is never kept is told', () => {
  const late: Happening = { ...quiet, what: 'sound', elapsed_s: 95 } as Happening;
  const { run } = through(reading, taken(false, 30), { ...quiet, elapsed_s: 80 } as Happening);
  expect(run.paused).toBeNull();
  expect(step(run, late).run).toMatchObject({ paused: NOT_KEPT, phase: 'called', at: 0 });
});

test('a failure pauses with its sentence', () => {
  expect(step(reading, { what: 'failed', message: 'The disk is full.' }).run.paused).toBe('The disk is full.');
});

test('skip and once more', () => {
  const skipped = step(reading, { what: 'skip' });
  expect(skipped.deeds).toEqual(['cancel', 'call']);
  expect(skipped.run).toMatchObject({ at: 1, kept: [null, null] });
  expect(step(reading, { what: 'redo' })).toMatchObject({ run: { at: 0, phase: 'called' }, deeds: ['cancel', 'call'] });
  expect(step(skipped.run, { what: 'redo' })).toMatchObject({ run: { at: 0 }, deeds: ['call'] });
  const end = step(skipped.run, { what: 'skip' });
  expect(end.deeds).toEqual(['finish']);
  expect(step(end.run, { what: 'redo' })).toMatchObject({ run: { at: 1, phase: 'called' }, deeds: ['call'] });
});

test('nothing chosen is done at once, and what is done stays so', () => {
  const { run, deeds } = begin([]);
  expect(run.phase).toBe('done');
  expect(deeds).toEqual([]);
  expect(through(run, hands, quiet, heard, { what: 'skip' }).deeds).toEqual([]);
});

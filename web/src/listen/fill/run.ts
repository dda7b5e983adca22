// A run through the positions: what is next, given what was heard and pressed. Pure; what a step
// wishes done is given back as deeds.

import type { Position } from '../../wire/Position';

export interface Place {
  position: Position;
  wind: string;
}

export type Phase =
  /** The place is called; the watch does not lie so yet. */
  | 'called'
  /** Hands were at it: it is waited for until it is steady, then until it is heard. */
  | 'settling'
  | 'reading'
  | 'done';

export interface Run {
  places: readonly Place[];
  at: number;
  phase: Phase;
  /** Why nothing goes on; null while it does. */
  paused: string | null;
  /** The sound, as last told. */
  steady: boolean;
  /** What was heard before was forgotten since it is steady. */
  anew: boolean;
  /** The server has begun the reading. */
  begun: boolean;
  /** When the server ended it, seconds of listening; it is being kept. */
  ended_s: number | null;
  /** How often a reading in this place was spoilt by hands. */
  spoilt: number;
  /** The reading that was kept in each place; null where there is none. */
  kept: readonly (string | null)[];
}

export type Happening =
  | { what: 'sound'; steady: boolean; handled: boolean; elapsed_s: number }
  /** Every balance is heard, in sound from after what was forgotten. */
  | { what: 'heard' }
  /** The user says that it lies as called. */
  | { what: 'laid' }
  | { what: 'taking'; taking: boolean; elapsed_s: number }
  | { what: 'kept'; reading: string }
  | { what: 'failed'; message: string }
  | { what: 'cut' }
  | { what: 'pause' }
  /** With the reading that was kept meanwhile in this place, and whether one is being taken. */
  | { what: 'resume'; kept: string | null; taking: boolean }
  | { what: 'skip' }
  | { what: 'redo' };

export type Deed = 'call' | 'hear_anew' | 'begin' | 'cancel' | 'finish';

export interface Step {
  run: Run;
  deeds: Deed[];
}

export const BY_HAND = 'Paused.';
export const CUT = 'The line to the program was down: the run is paused.';
export const RESTLESS =
  'The sound does not stay steady: lay the watch so that nothing moves or knocks, then go on.';
export const NOT_KEPT = 'The reading ended without being kept. Go on to take it again.';

/** So often a place is begun again by itself. */
const MOST_SPOILT = 2;
/** Working out a reading takes seconds, not longer than this. */
const KEPT_WITHIN_S = 60;

const fresh = { phase: 'called' as Phase, anew: false, begun: false, ended_s: null };

export function begin(places: readonly Place[]): Step {
  const run: Run = {
    ...fresh,
    places,
    at: 0,
    paused: null,
    steady: false,
    spoilt: 0,
    kept: places.map(() => null),
  };
  return places.length === 0 ? { run: { ...run, phase: 'done' }, deeds: [] } : { run, deeds: ['call'] };
}

const stay = (run: Run): Step => ({ run, deeds: [] });

/** To a place, or to the end behind the last one. */
function goTo(run: Run, at: number, deeds: Deed[] = []): Step {
  const done = at >= run.places.length;
  const next: Run = { ...run, ...fresh, at, spoilt: 0, phase: done ? 'done' : 'called' };
  // Whoever has paused is called when it goes on.
  const call: Deed[] = run.paused === null ? [done ? 'finish' : 'call'] : [];
  return { run: done ? { ...next, paused: null } : next, deeds: [...deeds, ...call] };
}

function kept(run: Run, reading: string): Step {
  return goTo({ ...run, kept: run.kept.map((one, n) => (n === run.at ? reading : one)) }, run.at + 1);
}

const cancelled = (run: Run): Deed[] => (run.phase === 'reading' ? ['cancel'] : []);

export function step(run: Run, happening: Happening): Step {
  if (run.phase === 'done') {
    return happening.what === 'redo' ? goTo(run, run.places.length - 1) : stay(run);
  }
  switch (happening.what) {
    case 'sound':
      return heardSound(run, happening);
    case 'heard':
      if (run.paused !== null || run.phase !== 'settling' || !run.anew || !run.steady) return stay(run);
      return { run: { ...run, phase: 'reading', begun: false, ended_s: null }, deeds: ['begin'] };
    case 'laid':
      if (run.paused !== null || run.phase !== 'called') return stay(run);
      return settle({ ...run, phase: 'settling', anew: false });
    case 'taking': {
      if (run.phase !== 'reading') return stay(run);
      if (happening.taking) return stay({ ...run, begun: true, ended_s: null });
      return run.begun && run.ended_s === null ? stay({ ...run, ended_s: happening.elapsed_s }) : stay(run);
    }
    case 'kept':
      return run.phase === 'reading' ? kept(run, happening.reading) : stay(run);
    case 'failed':
      return stay({ ...run, paused: happening.message });
    case 'cut':
      return stay({ ...run, paused: CUT });
    case 'pause':
      return run.paused === null ? stay({ ...run, paused: BY_HAND }) : stay(run);
    case 'resume': {
      const going = { ...run, paused: null, spoilt: 0 };
      if (run.phase === 'reading') {
        if (happening.kept !== null) return kept(going, happening.kept);
        if (happening.taking) return stay({ ...going, begun: true, ended_s: null });
      }
      return goTo(going, run.at);
    }
    case 'skip':
      return goTo(run, run.at + 1, cancelled(run));
    case 'redo':
      if (run.phase === 'reading') return goTo(run, run.at, ['cancel']);
      return goTo(run, Math.max(0, run.at - 1));
  }
}

/** Steady at last: what was heard while hands were at it is forgotten. */
function settle(run: Run): Step {
  if (!run.steady || run.anew) return stay(run);
  return { run: { ...run, anew: true }, deeds: ['hear_anew'] };
}

function heardSound(before: Run, sound: Happening & { what: 'sound' }): Step {
  const run = { ...before, steady: sound.steady };
  if (run.paused !== null) return stay(run);
  switch (run.phase) {
    case 'called':
      return sound.handled ? stay({ ...run, phase: 'settling', anew: false }) : stay(run);
    case 'settling':
      return settle(sound.handled ? { ...run, anew: false } : run);
    case 'reading': {
      const { ended_s } = run;
      if (ended_s !== null) {
        const late = sound.elapsed_s - ended_s > KEPT_WITHIN_S;
        return stay(late ? { ...run, ...fresh, paused: NOT_KEPT } : run);
      }
      if (!sound.handled) return stay(run);
      const spoilt = run.spoilt + 1;
      const paused = spoilt > MOST_SPOILT ? RESTLESS : null;
      return { run: { ...run, ...fresh, phase: 'settling', spoilt, paused }, deeds: ['cancel'] };
    }
    case 'done':
      return stay(run);
  }
}

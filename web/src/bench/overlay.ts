// What was entered here and is not yet in the server's answer, laid over that answer, so that it is
// seen at once. Only what is plain from the entry itself is shown; what follows from it (an order, a
// plan) comes from the server.

import type { Movement } from '../wire/Movement';
import type { MovementStep } from '../wire/MovementStep';
import type { MovementWork } from '../wire/MovementWork';
import type { TradeKind } from '../wire/TradeKind';
import type { LogChange } from '../wire/LogChange';
import type { LogEntry } from '../wire/LogEntry';
import type { LogPart } from '../wire/LogPart';
import type { Screws } from '../wire/Screws';
import type { TakenOut } from '../wire/TakenOut';
import type { WorkRef } from '../wire/WorkRef';
import { partName, screwsWords, SIDE_WORDS, stepName } from './step-words';

export interface Overlaid extends Movement {
  /** Steps of which something waits for the line. */
  waitingSteps: ReadonlySet<string>;
  /** Work, by `workKey`, that was settled by an entry that waits. */
  waitingWork: ReadonlySet<string>;
}

export interface Laid {
  entry: LogEntry;
  /** Whether the server has it already. */
  sent: boolean;
}

type KindOf = (id: string | null) => TradeKind | undefined;

export const workKey = ({ rule, on }: WorkRef): string =>
  `${rule}|${on.kind}|${on.kind === 'part' ? on.part : on.kind === 'group' ? on.group : ''}`;

export function overlaid(movement: Movement, laid: Laid[], kindOf: KindOf): Overlaid {
  const over = new Over(movement, kindOf);
  const takenBack = new Set(
    laid.flatMap(({ entry: { change } }) => (change.kind === 'taken_back' ? [change.entry] : [])),
  );
  for (const { entry, sent } of laid) {
    if (takenBack.has(entry.id)) continue;
    over.sent = sent;
    over.apply(entry);
  }
  return over.result();
}

class Over {
  sent = false;
  #steps: MovementStep[];
  #groups: string[];
  #facing: string | null;
  #waitingSteps = new Set<string>();
  #waitingWork = new Set<string>();
  #settled = new Map<string, Partial<MovementWork>>();
  #placed = new Set<string>();

  constructor(
    private readonly movement: Movement,
    private readonly kindOf: KindOf,
  ) {
    this.#steps = [...movement.steps];
    this.#groups = [...movement.groups];
    this.#facing = movement.facing;
  }

  apply({ id, at, change }: LogEntry) {
    switch (change.kind) {
      case 'took_out':
        return this.#tookOut(id, at, change);
      case 'amended':
        return this.#patch(change.step, (step) => this.#amended(step, change.fix));
      case 'part_amended':
        return this.#patchPart(change.part, change.fix);
      case 'moved':
        return this.#move(change.step, change.after);
      case 'split':
        return this.#split(change.step, change.into);
      case 'annotated':
        return this.#patch(change.step, (step) =>
          step.notes.includes(change.note) ? step : { ...step, notes: [...step.notes, change.note] },
        );
      case 'photo_added':
        return this.#patch(change.step, (step) =>
          step.photos.includes(change.photo)
            ? step
            : { ...step, photos: [...step.photos, change.photo] },
        );
      case 'placed':
        return this.#place(change.step, id, at);
      case 'removed':
        return this.#patch(change.step, (step) => ({ ...step, placed_at: null, placed_entry: null }));
      case 'turned':
        this.#facing = change.up;
        return;
      case 'work_done':
        return this.#settle(change.work, id, 'done', 'done');
      case 'check_made':
        if (change.outcome === 'bad') return;
        return this.#settle(change.work, id, 'done', checkWords(change));
      case 'skipped':
        return this.#settle(change.work, id, 'skipped', `skipped: ${change.reason}`);
      case 'taken_back':
        return this.#takeBack(change.entry);
      case 'left_out':
      case 'relation_added':
      case 'relation_dropped':
        // What follows from these is the server's to say.
        return;
    }
  }

  result(): Overlaid {
    const { movement } = this;
    const isSettled = (work: MovementWork) => this.#settled.has(workKey(work.work));
    const open = movement.plan.flatMap((action) => (action.action === 'do' ? [action.work] : []));
    const settledNow = open
      .filter(isSettled)
      .map((work) => ({ ...work, ...this.#settled.get(workKey(work.work)) }));
    const plan = movement.plan.filter((action) => {
      if (action.action === 'do') return !isSettled(action.work);
      return action.action !== 'place' || !this.#placed.has(action.step);
    });
    const first = plan[0];
    if (first?.action === 'turn' && first.up === this.#facing) plan.shift();
    const steps = this.#steps.map((step) =>
      step.placing
        ? {
            ...step,
            placing: {
              would_cover: step.placing.would_cover.filter((work) => !isSettled(work)),
              missing: step.placing.missing.filter((other) => !this.#placed.has(other)),
            },
          }
        : step,
    );
    return {
      ...movement,
      steps,
      groups: this.#groups,
      facing: this.#facing,
      plan,
      settled: [...movement.settled, ...settledNow],
      progress: this.#progress(settledNow.length),
      waitingSteps: this.#waitingSteps,
      waitingWork: this.#waitingWork,
    };
  }

  #progress(settled: number): Movement['progress'] {
    const progress = { ...this.movement.progress };
    for (const step of this.#steps) {
      if (!this.#placed.has(step.id)) continue;
      const parts = step.parts.filter((part) => part.left_out === null).length;
      const screws = step.screws.reduce((sum, set) => sum + set.to_place, 0);
      progress.parts_in += parts;
      progress.parts_in_tray -= parts;
      progress.screws_in += screws;
      progress.screws_in_tray -= screws;
    }
    const known = new Set(this.movement.steps.map(({ id }) => id));
    for (const step of this.#steps) {
      if (known.has(step.id) || this.#placed.has(step.id)) continue;
      progress.parts_in_tray += step.parts.length;
      progress.screws_in_tray += step.screws.reduce((sum, set) => sum + set.count, 0);
    }
    progress.open_work = Math.max(0, progress.open_work - settled);
    progress.complete &&= this.#steps.length === this.movement.steps.length;
    return progress;
  }

  #mark(step: string) {
    if (!this.sent) this.#waitingSteps.add(step);
  }

  #patch(step: string, how: (step: MovementStep) => MovementStep) {
    this.#mark(step);
    this.#steps = this.#steps.map((one) => (one.id === step ? how(one) : one));
  }

  #tookOut(entry: string, at: string, out: TakenOut) {
    if (this.#steps.some((step) => step.id === out.step)) return;
    this.#mark(out.step);
    this.#steps.push(this.#stepOf(entry, at, out));
    this.#groups.push(...out.groups.filter((group) => !this.#groups.includes(group)));
  }

  #stepOf(entry: string, at: string, out: TakenOut): MovementStep {
    const parts = out.parts.map((part) => this.#part(part));
    return {
      id: out.step,
      name: stepName(parts, out.groups),
      parts,
      side: out.side,
      side_words: SIDE_WORDS[out.side],
      groups: out.groups,
      from_assembly: out.from_assembly,
      screws: out.screws.map(screws),
      way_up: out.way_up,
      rested_on: out.rested_on,
      was_under: out.was_under,
      under_tension: out.under_tension,
      compartment: out.compartment,
      photos: out.photos,
      notes: out.note === '' ? [] : [out.note],
      entry,
      taken_out_at: at,
      taken_out_by: '',
      placed_at: null,
      placed_entry: null,
      goes_in: true,
      layer: 0,
      after: [],
      before: [],
      placing: null,
      advice: { cautions: [], never_oil: [], left_handed: [], under_tension: out.under_tension },
    };
  }

  #part(part: LogPart): MovementStep['parts'][number] {
    const name = partName(part.name, this.kindOf(part.kind));
    return { ...part, name, left_out: null };
  }

  #amended(step: MovementStep, fix: Extract<LogChange, { kind: 'amended' }>['fix']): MovementStep {
    const now = { ...step };
    // What is left out or null stays; of one field alone null says something.
    now.side = fix.side ?? step.side;
    now.groups = fix.groups ?? step.groups;
    if (fix.from_assembly !== undefined) now.from_assembly = fix.from_assembly;
    now.screws = fix.screws?.map(screws) ?? step.screws;
    now.way_up = fix.way_up ?? step.way_up;
    now.rested_on = fix.rested_on ?? step.rested_on;
    now.was_under = fix.was_under ?? step.was_under;
    now.under_tension = fix.under_tension ?? step.under_tension;
    now.compartment = fix.compartment ?? step.compartment;
    if (typeof fix.note === 'string') now.notes = fix.note === '' ? [] : [fix.note];
    now.side_words = SIDE_WORDS[now.side as TakenOut['side']] ?? now.side;
    now.name = stepName(now.parts, now.groups);
    return now;
  }

  #patchPart(part: string, fix: Extract<LogChange, { kind: 'part_amended' }>['fix']) {
    const step = this.#steps.find(({ parts }) => parts.some(({ id }) => id === part));
    if (!step) return;
    this.#patch(step.id, (one) => {
      const parts = one.parts.map((held) => {
        if (held.id !== part) return held;
        const now = { ...held };
        if (fix.kind !== undefined) now.kind = fix.kind;
        if (fix.verdict !== undefined) now.verdict = fix.verdict;
        now.traits = fix.traits ?? held.traits;
        now.condition = fix.condition ?? held.condition;
        if (typeof fix.name === 'string' || fix.kind !== undefined) {
          now.name = partName(fix.name ?? '', this.kindOf(now.kind));
        }
        return now;
      });
      return { ...one, parts, name: stepName(parts, one.groups) };
    });
  }

  #move(step: string, after: string | null) {
    const moved = this.#steps.find(({ id }) => id === step);
    if (!moved) return;
    this.#mark(step);
    const rest = this.#steps.filter(({ id }) => id !== step);
    const at = after === null ? 0 : rest.findIndex(({ id }) => id === after) + 1;
    this.#steps = [...rest.slice(0, at), moved, ...rest.slice(at)];
  }

  #split(step: string, into: Extract<LogChange, { kind: 'split' }>['into']) {
    const at = this.#steps.findIndex(({ id }) => id === step);
    const whole = this.#steps[at];
    if (!whole || into.some((piece) => this.#steps.some(({ id }) => id === piece.step))) return;
    const of = (id: string, has: { parts: string[]; screws: string[] }, without = false) => {
      const parts = whole.parts.filter((part) => has.parts.includes(part.id) !== without);
      const sets = whole.screws.filter((set) => has.screws.includes(set.id) !== without);
      return { ...whole, id, parts, screws: sets, name: stepName(parts, whole.groups) };
    };
    const pieces = into.map((piece) => of(piece.step, piece));
    const gone = {
      parts: into.flatMap(({ parts }) => parts),
      screws: into.flatMap((piece) => piece.screws),
    };
    const left = of(step, gone, true);
    if (left.parts.length > 0) pieces.push(left);
    for (const { id } of pieces) this.#mark(id);
    this.#steps = [...this.#steps.slice(0, at), ...pieces, ...this.#steps.slice(at + 1)];
  }

  #place(step: string, entry: string, at: string) {
    const held = this.#steps.find(({ id }) => id === step);
    if (!held || held.placed_at !== null) return;
    this.#placed.add(step);
    if (held.side === 'dial' || held.side === 'train') this.#facing = held.side;
    this.#patch(step, (one) => ({ ...one, placed_at: at, placed_entry: entry, placing: null }));
  }

  #settle(work: WorkRef, said_entry: string, status: string, said: string) {
    this.#settled.set(workKey(work), { status, said, said_entry });
    if (!this.sent) this.#waitingWork.add(workKey(work));
  }

  #takeBack(entry: string) {
    const out = this.#steps.find((step) => step.entry === entry);
    if (out) this.#steps = this.#steps.filter(({ id }) => id !== out.id);
    const placed = this.#steps.find((step) => step.placed_entry === entry);
    if (placed) this.#patch(placed.id, (one) => ({ ...one, placed_at: null, placed_entry: null }));
  }
}

function screws(set: Screws): MovementStep['screws'][number] {
  return { ...set, to_place: set.count, words: screwsWords(set) };
}

function checkWords({ outcome, value }: Extract<LogChange, { kind: 'check_made' }>): string {
  const how = outcome === 'cannot_tell' ? 'cannot tell' : outcome;
  return value === null ? how : `${how}, ${value}`;
}

// What is being entered about a step, and the entries of the log that come of it.

import { newId } from '../bench/ids';
import type { LogChange } from '../wire/LogChange';
import type { LogPart } from '../wire/LogPart';
import type { PartFix } from '../wire/PartFix';
import type { Screws } from '../wire/Screws';
import type { Side } from '../wire/Side';
import type { StepFix } from '../wire/StepFix';
import type { TakenOut } from '../wire/TakenOut';
import type { ThreadHand } from '../wire/ThreadHand';
import type { Verdict } from '../wire/Verdict';
import { workKey } from '../bench/overlay';
import { same } from '../keeping/keeper.svelte';
import type { Movement } from '../wire/Movement';
import type { MovementStep } from '../wire/MovementStep';
import type { TakeOutDemand } from '../wire/TakeOutDemand';
import type { TradeKind } from '../wire/TradeKind';
import { nextCompartment } from './suggest';

/** How the user has settled a demand: by a tick, or a reason to skip it. */
export type Settled = { done: true } | { done: false; reason: string };

export interface StepDraft extends TakenOut {
  /** By the `key` of the demand. */
  demands: Record<string, Settled>;
}

type KindOf = (id: string | null) => TradeKind | undefined;

export const newPart = (kind: TradeKind | null, name = ''): LogPart => {
  return { id: newId(), kind: kind?.id ?? null, name, traits: [], condition: '', verdict: null };
};

export const newScrews = (): Screws => {
  return { id: newId(), count: 1, length_mm: null, look: '', thread: 'right', place: '' };
};

/** A draft that begins as the step before it ended: one works along a side and a group. */
export function freshDraft(steps: MovementStep[]): StepDraft {
  const last = steps.at(-1);
  return {
    step: newId(),
    parts: [],
    side: (last?.side as Side | undefined) ?? 'dial',
    groups: last?.groups ?? [],
    from_assembly: last?.side === 'hand' ? last.from_assembly : null,
    screws: [],
    way_up: '',
    rested_on: [],
    was_under: [],
    under_tension: false,
    compartment: nextCompartment(last?.compartment),
    photos: [],
    note: '',
    demands: {},
  };
}

/** What a step says now, to be put right. */
export function draftOfStep(step: MovementStep, kindOf: KindOf): StepDraft {
  return {
    step: step.id,
    parts: step.parts.map((part) => {
      const own = part.name === kindOf(part.kind)?.name ? '' : part.name;
      const verdict = part.verdict as Verdict | null;
      return {
        id: part.id,
        kind: part.kind,
        name: own,
        traits: part.traits,
        condition: part.condition,
        verdict,
      };
    }),
    side: step.side as Side,
    groups: step.groups,
    from_assembly: step.from_assembly,
    screws: step.screws.map(({ id, count, length_mm, look, thread, place }) => {
      return { id, count, length_mm, look, thread: thread as ThreadHand, place };
    }),
    way_up: step.way_up,
    rested_on: step.rested_on,
    was_under: step.was_under,
    under_tension: step.under_tension,
    compartment: step.compartment,
    photos: step.photos,
    note: step.notes.join('\n'),
    demands: {},
  };
}

export interface Demand {
  key: string;
  demand: TakeOutDemand;
  work: Extract<LogChange, { kind: 'work_done' }>['work'];
  /** The part or group that it is for; empty for the movement. */
  on: string;
}

/** What must have been done before these parts come out, and is not settled yet. */
export function openDemands(
  draft: StepDraft,
  movement: Pick<Movement, 'settled'>,
  kindOf: KindOf,
): Demand[] {
  const settled = new Set(movement.settled.map(({ work }) => workKey(work)));
  const found = new Map<string, Demand>();
  const add = (demand: TakeOutDemand, work: Demand['work'], on: string) => {
    const key = workKey(work);
    if (!settled.has(key)) found.set(key, { key, demand, work, on });
  };
  for (const part of draft.parts) {
    const kind = kindOf(part.kind);
    for (const demand of kind?.before_taking_out ?? []) {
      const { rule } = demand;
      if (demand.once === 'each-part') {
        add(demand, { rule, on: { kind: 'part', part: part.id } }, part.name || (kind?.name ?? ''));
      } else if (demand.once === 'each-group' && draft.groups.length > 0) {
        for (const group of draft.groups) {
          add(demand, { rule, on: { kind: 'group', group } }, `group ${group}`);
        }
      } else {
        add(demand, { rule, on: { kind: 'movement' } }, '');
      }
    }
  }
  return [...found.values()];
}

/** Whether a demand is settled well enough to go on. */
export const isSettled = (settled: Settled | undefined): boolean =>
  settled !== undefined && (settled.done || settled.reason.trim() !== '');

/** The entries of a new step: what was done before it, then itself. */
export function changesOfNew(draft: StepDraft, demands: Demand[]): LogChange[] {
  const before = demands.flatMap(({ key, work }): LogChange[] => {
    const settled = draft.demands[key];
    if (!settled || !isSettled(settled)) return [];
    return settled.done
      ? [{ kind: 'work_done', work, bottle: null, note: '' }]
      : [{ kind: 'skipped', work, reason: settled.reason.trim() }];
  });
  const { demands: _, ...out } = draft;
  const took: LogChange = { kind: 'took_out', ...trimmed(out) };
  // What is said of a part comes after the part is known.
  const ofParts = before.filter((change) => 'work' in change && change.work.on.kind === 'part');
  return [...before.filter((change) => !ofParts.includes(change)), took, ...ofParts];
}

const STEP_FIELDS = [
  'side',
  'groups',
  'from_assembly',
  'screws',
  'way_up',
  'rested_on',
  'was_under',
  'under_tension',
  'compartment',
  'note',
] as const satisfies (keyof StepFix)[];
const PART_FIELDS = ['kind', 'name', 'traits', 'condition', 'verdict'] as const satisfies (keyof PartFix)[];

/** The entries that put a step right; none where nothing was changed. */
export function changesOfMended(before: StepDraft, after: StepDraft): LogChange[] {
  const now = { ...after, ...trimmed(after) };
  const changes: LogChange[] = [];
  const fix = changed(before, now, STEP_FIELDS);
  if (fix) changes.push({ kind: 'amended', step: before.step, fix });
  for (const part of now.parts) {
    const old = before.parts.find(({ id }) => id === part.id);
    const partFix = old && changed(old, part, PART_FIELDS);
    if (partFix) changes.push({ kind: 'part_amended', part: part.id, fix: partFix });
  }
  return changes;
}

function changed<T extends object, K extends keyof T>(
  before: T,
  after: T,
  fields: readonly K[],
): Pick<T, K> | null {
  const differing = fields.filter((field) => !same(before[field], after[field]));
  if (differing.length === 0) return null;
  return Object.fromEntries(differing.map((field) => [field, after[field]])) as Pick<T, K>;
}

function trimmed(out: TakenOut): TakenOut {
  return {
    ...out,
    way_up: out.way_up.trim(),
    compartment: out.compartment.trim(),
    note: out.note.trim(),
    screws: out.screws.map((set) => ({ ...set, look: set.look.trim(), place: set.place.trim() })),
    parts: out.parts.map((part) => ({ ...part, condition: part.condition.trim() })),
  };
}

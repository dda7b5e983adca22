// A move as it stands in the form where it is entered: size and way, which together are the signed
// amount of the record (crates/server/src/wire/adjustment.rs).

import type { Adjustment } from '../wire/Adjustment';
import type { AdjustmentBy } from '../wire/AdjustmentBy';
import type { NewAdjustment } from '../wire/NewAdjustment';
import { numberIn } from '../words/numbers';

export interface Means {
  by: AdjustmentBy;
  words: string;
  /** What the size is counted in; none where there is no size. */
  unit: string;
  /** The ways that are positive and negative in the record. */
  ways: { plus: string; minus: string };
}

export const MEANS: Means[] = [
  { by: 'index', words: 'index', unit: 'degrees or divisions', ways: { plus: 'towards +, faster', minus: 'towards −, slower' } },
  { by: 'timing_screws', words: 'timing screws', unit: 'turns of each of a pair', ways: { plus: 'in, faster', minus: 'out, slower' } },
  { by: 'mass', words: 'mass of the balance', unit: 'milligrams', ways: { plus: 'taken off, faster', minus: 'put on, slower' } },
  { by: 'stud', words: 'stud', unit: 'degrees', ways: { plus: 'clockwise', minus: 'counter-clockwise' } },
  { by: 'other', words: 'something else', unit: '', ways: { plus: '', minus: '' } },
];

export const meansOf = (by: AdjustmentBy): Means => {
  const found = MEANS.find((means) => means.by === by);
  if (!found) throw new Error(`no such means: ${by}`);
  return found;
};

export type Way = 'plus' | 'minus';

export interface MoveDraft {
  /** The letter; empty for all. */
  balance: string;
  by: AdjustmentBy;
  /** As typed, without a sign; empty where it was not measured. */
  size: string;
  way: Way;
  note: string;
  /** As a field for date and time has it; empty for now. */
  at: string;
}

/** Two figures: a hand on an index is no surer than that, and the form can be changed. */
const FIGURES = 2;

export const draftOf = (balance: string, by: AdjustmentBy, amount: number | null): MoveDraft => ({
  balance,
  by,
  size: amount === null ? '' : String(Number(Math.abs(amount).toPrecision(FIGURES))),
  way: amount !== null && amount < 0 ? 'minus' : 'plus',
  note: '',
  at: '',
});

/** A move that was entered, to be changed: its amount to the last figure. */
export const draftAgain = ({ balance, by, amount, note }: Adjustment): MoveDraft => ({
  balance,
  by,
  size: amount === null ? '' : String(Math.abs(amount)),
  way: amount !== null && amount < 0 ? 'minus' : 'plus',
  note,
  at: '',
});

/** The move, or a sentence about the field that cannot be read. */
export function moveOf(draft: MoveDraft): NewAdjustment | { field: 'size' | 'note' | 'at'; error: string } {
  const note = draft.note.trim();
  const size = draft.by === 'other' || draft.size.trim() === '' ? null : numberIn(draft.size);
  if (size === undefined || (size !== null && size <= 0)) {
    return { field: 'size', error: 'A size above zero, such as 1.5; empty where it was not measured.' };
  }
  if (draft.by === 'other' && note === '') {
    return { field: 'note', error: 'Say what was done.' };
  }
  const at = draft.at === '' ? null : new Date(draft.at);
  if (at !== null && Number.isNaN(at.getTime())) {
    return { field: 'at', error: 'A date and a time, or nothing for now.' };
  }
  const amount = size === null ? null : draft.way === 'minus' ? -size : size;
  const move: NewAdjustment = { balance: draft.balance, by: draft.by, amount, note };
  return at === null ? move : { ...move, at: at.toISOString() };
}

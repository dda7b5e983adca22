// A final test as the keeper keeps it: every number and every sign a field of its own, so that two who
// enter different ones at once do not stand in each other's way.

import type { Send } from '../keeping/keeper.svelte';
import * as api from '../server/final-test-api';
import type { FinalTest } from '../wire/FinalTest';
import type { FinalTestChange } from '../wire/FinalTestChange';
import type { TestFields } from '../wire/TestFields';
import { numberIn } from '../words/numbers';

export type FigureField = `figure:${string}`;
export type SignField = `sign:${string}`;

/** A number with its uncertainty; null: not entered. */
export type FigureValue = { value: number; sd: number | null } | null;
/** null: nobody looked. */
export type SignValue = boolean | null;

export type TestRecord = Pick<
  FinalTest,
  | 'id'
  | 'version'
  | 'balance'
  | 'way'
  | 'standard'
  | 'what'
  | 'instrument'
  | 'conditions'
  | 'done'
  | 'photos'
  | 'readings'
  | 'outcome'
  | 'note'
> & { [figure: FigureField]: FigureValue; [sign: SignField]: SignValue };

export const figureField = (code: string): FigureField => `figure:${code}`;
export const signField = (code: string): SignField => `sign:${code}`;

export function recordOf(test: FinalTest): TestRecord {
  const { id, version, balance, way, standard, what, instrument, conditions } = test;
  const { done, photos, readings, outcome, note } = test;
  const record: TestRecord = {
    ...{ id, version, balance, way, standard, what, instrument, conditions },
    ...{ done, photos, readings, outcome, note },
  };
  // Every field that the form has is there, so that one that is emptied is a change of it.
  for (const { code } of test.sheet.fields) record[figureField(code)] = null;
  for (const { code } of test.sheet.signs) record[signField(code)] = null;
  for (const { code, value, sd } of test.figures) record[figureField(code)] = { value, sd };
  for (const { code, seen } of test.signs) record[signField(code)] = seen;
  return record;
}

export function changeOf(changed: Partial<TestRecord> & { version: number }): FinalTestChange {
  const fields: Record<string, unknown> = {};
  const figures: NonNullable<TestFields['figures']> = [];
  const signs: NonNullable<TestFields['signs']> = [];
  for (const [field, value] of Object.entries(changed)) {
    const [kind, code] = field.split(':');
    if (kind === 'figure' && code !== undefined) {
      const figure = value as FigureValue;
      figures.push({ code, value: figure?.value ?? null, sd: figure?.sd ?? null });
    } else if (kind === 'sign' && code !== undefined) {
      signs.push({ code, seen: value as SignValue });
    } else if (field !== 'id' && field !== 'version') {
      fields[field] = value;
    }
  }
  if (figures.length > 0) fields.figures = figures;
  if (signs.length > 0) fields.signs = signs;
  return { version: changed.version, fields: fields as TestFields };
}

/** What a keeper sends with; `answered` gets the test as it is then, judged anew. */
export const sendTest =
  (of: string, answered: (test: FinalTest) => void): Send<TestRecord> =>
  async (fields, leaving) => {
    const test = await api.change(of, changeOf(fields), leaving);
    answered(test);
    return recordOf(test);
  };

/**
 * A number as it is typed, with its uncertainty behind "±" or "+-" where the field may have one:
 * undefined where the text means nothing, null where it is empty.
 */
export function figureIn(text: string, isMeasured: boolean): FigureValue | undefined {
  if (text.trim() === '') return null;
  const [number = '', sd, ...more] = text.split(/±|\+\/?-/);
  if (more.length > 0 || (sd !== undefined && !isMeasured)) return undefined;
  const value = numberIn(number);
  if (value === undefined) return undefined;
  if (sd === undefined) return { value, sd: null };
  const known = numberIn(sd);
  return known === undefined || known < 0 ? undefined : { value, sd: known };
}

/** As many figures as anybody reads of a number that a reading gave. */
const FIGURES = 4;
const short = (number: number) => String(Number(number.toPrecision(FIGURES))).replace('-', '−');

export function figureText(figure: FigureValue): string {
  if (!figure) return '';
  return figure.sd === null || figure.sd === 0
    ? String(figure.value).replace('-', '−')
    : `${short(figure.value)} ± ${Number(figure.sd.toPrecision(2))}`;
}

// A trial as the keeper keeps it: every day a field of its own, so that two who enter different days
// at once do not stand in each other's way.

import type { Send } from '../keeping/keeper.svelte';
import * as api from '../server/trial-api';
import type { Trial } from '../wire/Trial';
import type { TrialChange } from '../wire/TrialChange';
import type { TrialRate } from '../wire/TrialRate';
import { decimalsFor, MOST_DECIMALS, numberIn, signed } from '../words/numbers';

export type DayField = `day${number}`;

export type TrialRecord = Pick<
  Trial,
  'id' | 'version' | 'balance' | 'size' | 'begun' | 'rate_sd_s_per_d' | 'note'
> & { [day: DayField]: TrialRate | null };

export const fieldOf = (day: number): DayField => `day${day}`;

export function recordOf(trial: Trial): TrialRecord {
  const { id, version, balance, size, begun, rate_sd_s_per_d, note } = trial;
  const record: TrialRecord = { id, version, balance, size, begun, rate_sd_s_per_d, note };
  for (const { day, rate } of trial.days) record[fieldOf(day)] = rate;
  return record;
}

export function changeOf(fields: Partial<TrialRecord> & { version: number }): TrialChange {
  const days: TrialChange['days'] = [];
  const rest: Record<string, unknown> = {};
  for (const [field, value] of Object.entries(fields)) {
    const [, day] = /^day(\d+)$/.exec(field) ?? [];
    if (day !== undefined) days.push({ day: Number(day), rate: value as TrialRate | null });
    else if (field !== 'id') rest[field] = value;
  }
  return { ...(rest as unknown as TrialChange), ...(days.length > 0 ? { days } : {}) };
}

/** What a keeper sends with; `answered` gets the trial as it is then. */
export const sendTrial =
  (of: string, answered: (trial: Trial) => void): Send<TrialRecord> =>
  async (fields, leaving) => {
    const trial = await api.change(of, changeOf(fields), leaving);
    answered(trial);
    return recordOf(trial);
  };

/** A rate as it is typed: undefined where the text means nothing, null where it is empty. */
export function rateIn(text: string): TrialRate | null | undefined {
  if (text.trim() === '') return null;
  const rate_s_per_d = numberIn(text);
  if (rate_s_per_d === undefined) return undefined;
  return { rate_s_per_d, sd_s_per_d: null, clock_sd_s_per_d: 0, readings: 0 };
}

/** A rate as it stands in its field: as it was entered, or as sharp as its readings allow. */
export function rateText(rate: TrialRate | null): string {
  if (rate === null) return '';
  const { rate_s_per_d: value, sd_s_per_d: sd, readings } = rate;
  if (readings > 0 && sd !== null) return signed(value, decimalsFor(sd, MOST_DECIMALS.rate));
  const written = String(value).replace('-', '−');
  return value > 0 ? `+${written}` : written;
}

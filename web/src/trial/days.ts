// Where the days of a trial stand in time, and which of them was entered last.

import type { TrialDay } from '../wire/TrialDay';
import type { TrialRate } from '../wire/TrialRate';

/** A day is told by its rate, which can be read when its 24 hours are over. */
export type DayState = 'over' | 'now' | 'to come';

export function dayState({ from, until }: Pick<TrialDay, 'from' | 'until'>, now: Date): DayState {
  const at = now.getTime();
  if (new Date(until).getTime() <= at) return 'over';
  return new Date(from).getTime() <= at ? 'now' : 'to come';
}

const weekday = new Intl.DateTimeFormat('en-GB', { weekday: 'short', day: 'numeric', month: 'short' });
const clock = new Intl.DateTimeFormat('en-GB', { hour: '2-digit', minute: '2-digit' });

/** "Mon 4 May": the day on which it begins here. */
export function dateOf(moment: string): string {
  const at = new Date(moment);
  return Number.isNaN(at.getTime()) ? '' : weekday.format(at).replace(',', '');
}

/** "09:00" */
export function timeOf(moment: string): string {
  const at = new Date(moment);
  return Number.isNaN(at.getTime()) ? '' : clock.format(at);
}

/** An instant as a field for date and time has it: "2026-05-04T09:00", the time of this place. */
export function localTime(at: Date): string {
  if (Number.isNaN(at.getTime())) return '';
  const two = (n: number) => String(n).padStart(2, '0');
  const day = `${String(at.getFullYear()).padStart(4, '0')}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
  return `${day}T${two(at.getHours())}:${two(at.getMinutes())}`;
}

/** The instant that such a field means; undefined where it means none. */
export function momentIn(text: string): string | undefined {
  const at = new Date(text);
  return text === '' || Number.isNaN(at.getTime()) ? undefined : at.toISOString();
}

/** What a day held before it was entered, changed or emptied. */
export interface Entered {
  day: number;
  before: TrialRate | null;
}

/** Days that can be readings' instead: empty ones, and those whose readings have changed since. */
export const offers = (days: TrialDay[]): TrialDay[] =>
  days.filter(({ offered, rate }) => {
    if (offered === null) return false;
    if (rate === null) return true;
    return rate.readings > 0 && JSON.stringify(rate) !== JSON.stringify(offered.rate);
  });

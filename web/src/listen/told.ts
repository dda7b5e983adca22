// What the user tells of a watch before it is heard, as text fields have it.

import type { LiveSettings } from '../wire/LiveSettings';
import type { Watch } from '../wire/Watch';
import { numbersIn, plain } from '../words/numbers';

export interface Told {
  lift: string;
  balances: string;
  beats: string;
}

const list = (numbers: number[]) => numbers.map(String).join(', ');

export const toldOf = (from: LiveSettings | Watch): Told => ({
  lift: list(from.lift_angles_deg),
  beats: list(from.beats_per_hour),
  balances: from.balances === null ? '' : String(from.balances),
});

/** The settings, or a sentence about the field that cannot be read. */
export function settingsOf(told: Told): LiveSettings | { field: keyof Told; error: string } {
  const lift_angles_deg = numbersIn(told.lift);
  if (lift_angles_deg === null) {
    return { field: 'lift', error: 'Degrees, such as 52; or one for each balance: 52, 51.' };
  }
  const beats_per_hour = numbersIn(told.beats);
  if (beats_per_hour === null) {
    return { field: 'beats', error: 'Beats per hour, such as 28800; or one for each balance.' };
  }
  const count = told.balances.trim();
  if (count !== '' && !/^[1-9]$/.test(count)) {
    return { field: 'balances', error: 'A number from 1 to 9, or nothing to have it heard.' };
  }
  return { lift_angles_deg, beats_per_hour, balances: count === '' ? null : Number(count) };
}

/** One for all where they are all the same. */
const each = (numbers: number[]) => (new Set(numbers).size === 1 ? numbers.slice(0, 1) : numbers);

/** "lift angle 52°, balances heard, beat heard" */
export function toldWords(settings: LiveSettings): string {
  const lift = each(settings.lift_angles_deg).map((deg) => `${deg}°`).join(', ');
  const beats = each(settings.beats_per_hour).map((beat) => plain(beat, 0)).join(', ');
  const count = settings.balances;
  return [
    lift === '' ? 'usual lift angle' : `lift angle ${lift}`,
    count === null ? 'balances heard' : count === 1 ? 'one balance' : `${count} balances`,
    beats === '' ? 'beat heard' : `${beats} beats/h`,
  ].join(' · ');
}

// What balances were measured at, from the newest reading of the watch or as typed.

import * as api from '../server/api';
import type { MeasuredBeat } from '../wire/MeasuredBeat';
import type { Reading } from '../wire/Reading';

export interface Beat {
  text: string;
  sd: number;
  of_reading: boolean;
  /** What was read with it. */
  amplitude_deg?: number;
  sd_amplitude_deg?: number;
  lift_angle_deg?: number;
}

const SECONDS_PER_DAY = 86_400;

/** The newest reading of a watch: that of the last of its jobs that has one. */
export async function newestReading(watch: string): Promise<Reading | undefined> {
  const { jobs } = await api.watches.visits(watch, 0);
  const newest = await Promise.all(
    jobs.slice(0, 5).map(async ({ id }) => (await api.jobs.readings(id, 0)).readings[0]),
  );
  const there = newest.filter((reading) => reading !== undefined);
  return there.sort((a, b) => Date.parse(b.taken_at) - Date.parse(a.taken_at))[0];
}

/** The beat of each balance of the movement that a reading has: by its letter, else by its place. */
export function beatsOf(
  reading: Reading,
  balances: { name: string }[],
): Record<string, Beat> {
  const named = balances.every(({ name }) => reading.balances.some(({ label }) => label === name));
  const beats: Record<string, Beat> = {};
  for (const [n, { name }] of balances.entries()) {
    const heard = named ? reading.balances.find(({ label }) => label === name) : reading.balances[n];
    if (!heard?.beats_per_hour || !heard.rate_s_per_d) continue;
    const { value, sd } = heard.rate_s_per_d;
    const nominal = heard.beats_per_hour;
    const measured = nominal * (1 + value / SECONDS_PER_DAY);
    const whole_sd = heard.rate_sd_with_clock_s_per_d ?? sd;
    beats[name] = {
      text: measured.toFixed(3),
      sd: (nominal * whole_sd) / SECONDS_PER_DAY,
      of_reading: true,
      amplitude_deg: heard.amplitude_deg?.value,
      sd_amplitude_deg: heard.amplitude_deg?.sd,
      lift_angle_deg: heard.lift_angle_deg ?? undefined,
    };
  }
  return beats;
}

/** "28,800.3" to a number; nothing where it is none. */
export function beatIn(text: string): number | undefined {
  const value = Number(text.replace(/[,\s](?=\d{3}\b)/g, '').replace(',', '.'));
  return text.trim() !== '' && Number.isFinite(value) && value > 0 ? value : undefined;
}

export const asked = (beats: Record<string, Beat>): MeasuredBeat[] =>
  Object.entries(beats).flatMap(([balance, { text, sd, of_reading: _, ...swing }]) => {
    const beats_per_hour = beatIn(text);
    return beats_per_hour === undefined
      ? []
      : [{ balance, beats_per_hour, sd_beats_per_hour: sd, ...swing }];
  });

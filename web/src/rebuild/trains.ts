// How like trains go in, as the user wishes it for a job on this device.

import type { Trains } from '../server/bench-api';

const ALL: Trains[] = ['as-taken-down', 'together', 'one-after-the-other'];
const name = (job: string) => `endshake.trains.${job}`;

export function trainsOf(job: string): Trains {
  try {
    const held = localStorage.getItem(name(job));
    return ALL.find((trains) => trains === held) ?? 'as-taken-down';
  } catch {
    return 'as-taken-down';
  }
}

export function wishTrains(job: string, trains: Trains) {
  try {
    localStorage.setItem(name(job), trains);
  } catch {
    // Then it holds until the page is closed.
  }
}

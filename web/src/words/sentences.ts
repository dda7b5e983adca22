// Sentences about readings. The numbers come from the server; nothing is computed here.

import type { ReadingSettings } from '../wire/ReadingSettings';
import type { Relation } from '../wire/Relation';
import { duration, inLine, plain } from './numbers';

/** How two balances stand to each other: a word and what follows from it. */
export function relationWords(relation: Relation): { word: string; rest: string } {
  const difference = relation.rate_difference_s_per_d;
  switch (relation.state) {
    case 'independent': {
      const [gains, loses] = (difference ?? 0) < 0 ? ['B', 'A'] : ['A', 'B'];
      const first =
        difference === null
          ? 'The balances run at rates of their own.'
          : `${gains} gains ${plain(Math.abs(difference), 1)}\u00a0s/d on ${loses}.`;
      const meet = relation.next_coincidence_s;
      return {
        word: 'Independent.',
        rest: meet === null ? first : `${first} Their beats meet in ${duration(meet)}.`,
      };
    }
    case 'locked':
      return { word: 'Locked.', rest: 'The balances keep one rate and a constant phase.' };
    case 'unresolved':
      return {
        word: 'Cannot tell them apart.',
        rest: 'Listen longer, stop one balance, or use a pickup at each.',
      };
  }
}

/** What was known of the clock that counted the samples. */
export function clockWords(settings: ReadingSettings): string {
  const clock = { value: settings.clock_error_ppm, sd: settings.clock_sd_ppm };
  return settings.clock_calibrated
    ? `Recorder's clock ${inLine(clock, 'ppm', { signed: true })}, taken into account.`
    : "Recorder's clock not calibrated.";
}

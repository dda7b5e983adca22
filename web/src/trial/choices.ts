// What can be chosen of a trial.

import type { TrialSize } from '../wire/TrialSize';

export const SIZES: { value: TrialSize; words: string }[] = [
  { value: 'large', words: 'over 20 mm' },
  { value: 'small', words: 'up to 20 mm' },
];

export const whose = (balances: string[]) => [
  ...balances.map((label) => ({ value: label, words: label })),
  { value: '', words: 'the watch' },
];

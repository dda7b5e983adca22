// Bottles of lubricant as the server speaks of them.

export interface BottleFields {
  /** Id of a class of lubricant, such as `thin-oil`. */
  class: string;
  /** What stands on it. */
  name: string;
  /** Days: 2026-03-12. */
  opened: string | null;
  expires: string | null;
  used_up: boolean;
  note: string;
}

export interface Bottle extends BottleFields {
  id: string;
  version?: number;
}

export interface BottleList {
  bottles: Bottle[];
}

/** The classes that rules ask for, in the order from thin to firm. */
export const CLASSES: { value: string; words: string }[] = [
  { value: 'thin-oil', words: 'thin oil' },
  { value: 'medium-oil', words: 'medium oil' },
  { value: 'heavy-oil', words: 'heavy oil' },
  { value: 'pallet-oil', words: 'pallet-stone oil' },
  { value: 'pallet-grease', words: 'pallet-stone grease' },
  { value: 'grease', words: 'grease' },
  { value: 'friction-grease', words: 'friction grease' },
  { value: 'mainspring-grease', words: 'mainspring grease' },
  { value: 'braking-grease', words: 'braking grease' },
  { value: 'gasket-grease', words: 'gasket grease' },
  { value: 'dry-lubricant', words: 'dry lubricant' },
  { value: 'epilame', words: 'epilame' },
];

export const classWords = (of: string): string =>
  CLASSES.find(({ value }) => value === of)?.words ?? of;

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
  version: number;
  /** The class in words. */
  class_words: string;
  /** It is past its day. */
  is_old: boolean;
}

export interface BottleList {
  bottles: Bottle[];
}

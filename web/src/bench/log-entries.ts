// The entries of the take-down log as they are written: the shapes of crate `logbook`, in one place.
// Where its types are generated into ../wire, this file only hands them on.

export type Side = 'dial' | 'train' | 'case' | 'hand';
export type Verdict = 'keep' | 'clean' | 'repair' | 'replace';
export type ThreadHand = 'right' | 'left' | 'unknown';
export type Outcome = 'good' | 'bad' | 'cannot_tell';

export interface LogPart {
  id: string;
  kind: string | null;
  name: string;
  traits: string[];
  condition: string;
  verdict: Verdict | null;
}

export interface Screws {
  id: string;
  count: number;
  length_mm: number | null;
  look: string;
  thread: ThreadHand;
  place: string;
}

export interface TakenOut {
  step: string;
  parts: LogPart[];
  side: Side;
  groups: string[];
  from_assembly: string | null;
  screws: Screws[];
  way_up: string;
  rested_on: string[];
  was_under: string[];
  under_tension: boolean;
  compartment: string;
  photos: string[];
  note: string;
}

/** What is left out stays; what is null empties. */
export interface StepFix {
  side?: Side;
  groups?: string[];
  from_assembly?: string | null;
  screws?: Screws[];
  way_up?: string;
  rested_on?: string[];
  was_under?: string[];
  under_tension?: boolean;
  compartment?: string;
  note?: string;
}

/** What is left out stays; what is null empties. */
export interface PartFix {
  kind?: string | null;
  name?: string;
  traits?: string[];
  condition?: string;
  verdict?: Verdict | null;
}

export interface Piece {
  step: string;
  parts: string[];
  screws: string[];
}

export type WorkOn =
  | { kind: 'part'; part: string }
  | { kind: 'group'; group: string }
  | { kind: 'movement' };

export interface WorkRef {
  rule: string;
  on: WorkOn;
}

export type LeftOut =
  | { kind: 'part'; part: string }
  | { kind: 'screws'; set: string; count: number };

export type LogChange =
  | ({ kind: 'took_out' } & TakenOut)
  | { kind: 'amended'; step: string; fix: StepFix }
  | { kind: 'part_amended'; part: string; fix: PartFix }
  | { kind: 'split'; step: string; into: Piece[] }
  | { kind: 'moved'; step: string; after: string | null }
  | { kind: 'annotated'; step: string; note: string }
  | { kind: 'photo_added'; step: string; photo: string }
  | { kind: 'placed'; step: string }
  | { kind: 'removed'; step: string; reason: string }
  | { kind: 'turned'; up: 'dial' | 'train' }
  | { kind: 'work_done'; work: WorkRef; bottle: string | null; note: string }
  | { kind: 'check_made'; work: WorkRef; outcome: Outcome; value: number | null; note: string }
  | { kind: 'skipped'; work: WorkRef; reason: string }
  | { kind: 'relation_added'; first: string; then: string; why: string }
  | { kind: 'relation_dropped'; first: string; then: string; why: string }
  | { kind: 'left_out'; what: LeftOut; reason: string }
  | { kind: 'taken_back'; entry: string };

export interface LogEntry {
  id: string;
  by: string;
  /** RFC 3339 */
  at: string;
  change: LogChange;
}

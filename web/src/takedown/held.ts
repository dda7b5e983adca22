// What is begun at a take-down and not yet entered, held in the browser: a sheet half filled in, and
// steps of a template that are still to be offered. A camera that pushes the page out of a phone's
// memory loses neither.

import { draftOf, drop, stash } from '../keeping/drafts';
import type { LogChange } from '../wire/LogChange';
import type { StepDraft } from './step-draft';

function read<T>(name: string): T | null {
  return (draftOf(name).held?.value as T | undefined) ?? null;
}

function write<T>(name: string, value: T | null) {
  if (value === null) drop(name);
  else stash(name, { held: { value, base: null } });
}

const sheetName = (job: string) => `take-down/${job}`;
const offeredName = (job: string) => `take-down-offered/${job}`;

export const heldSheet = (job: string) => read<StepDraft>(sheetName(job));
export const holdSheet = (job: string, draft: StepDraft | null) => write(sheetName(job), draft);

export interface Offered {
  name: string;
  drafts: LogChange[];
}

export const heldOffered = (job: string) => read<Offered>(offeredName(job));
export const holdOffered = (job: string, offered: Offered | null) =>
  write(offeredName(job), offered);

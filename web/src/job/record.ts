// A job as it is edited: each line of the checklist is a field of its own, so that two people who
// look at different things do not get into each other's way.

import * as api from '../server/api';
import { Refused } from '../server/request';
import type { CheckItem } from '../wire/CheckItem';
import type { Estimate } from '../wire/Estimate';
import type { Job } from '../wire/Job';
import type { JobChange } from '../wire/JobChange';
import type { Send } from '../keeping/keeper.svelte';

export type CheckField = `check:${string}`;

export interface JobRecord {
  id: string;
  version: number;
  complaint: string;
  notes: string;
  due_date: string | null;
  estimate: Estimate | null;
  to_watch: string;
  next_service: string | null;
  [line: CheckField]: CheckItem;
}

export const checkField = (key: string): CheckField => `check:${key}`;

export function recordOf(job: Job): JobRecord {
  const record: JobRecord = {
    id: job.id,
    version: job.version,
    complaint: job.complaint,
    notes: job.notes,
    due_date: job.due_date,
    estimate: job.estimate,
    to_watch: job.to_watch,
    next_service: job.next_service,
  };
  for (const item of job.checklist) record[checkField(item.key)] = item;
  return record;
}

export function changeOf(fields: Partial<JobRecord> & { version: number }): JobChange {
  const { version, complaint, notes, due_date, estimate, to_watch, next_service } = fields;
  const change: JobChange = { version };
  if (complaint !== undefined) change.complaint = complaint;
  if (notes !== undefined) change.notes = notes;
  // Nothing means "as it was" to the server; no date is an empty one.
  if (due_date !== undefined) change.due_date = due_date ?? '';
  if (estimate) change.estimate = estimate;
  if (to_watch !== undefined) change.to_watch = to_watch;
  if (next_service !== undefined) change.next_service = next_service ?? '';
  const lines = Object.keys(fields).filter((field) => field.startsWith('check:')) as CheckField[];
  if (lines.length > 0) {
    change.checklist = lines.map((line) => fields[line]).filter((item) => item !== undefined);
  }
  return change;
}

/** Sends changes of the record; `ondone` gets the whole job that came of it. */
export function sendJob(id: string, ondone: (job: Job) => void): Send<JobRecord> {
  return async (fields, leaving) => {
    try {
      const job = await api.jobs.change(id, changeOf(fields), leaving);
      ondone(job);
      return recordOf(job);
    } catch (cause) {
      if (cause instanceof Refused && cause.isConflict) {
        const present = recordOf(cause.present as Job);
        throw new Refused(cause.status, cause.code, cause.message, present);
      }
      throw cause;
    }
  };
}

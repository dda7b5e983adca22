// Requests of trials. Apart from the others, so that the first page does not carry them.

import type { NewTrial } from '../wire/NewTrial';
import type { Trial } from '../wire/Trial';
import type { TrialChange } from '../wire/TrialChange';
import type { TrialList } from '../wire/TrialList';
import { request } from './request';

export const list = (job: string, signal?: AbortSignal) =>
  request<TrialList>('GET', `/jobs/${job}/trials`, undefined, { signal });

export const begin = (job: string, trial: NewTrial) =>
  request<Trial>('POST', `/jobs/${job}/trials`, trial);

export const change = (id: string, changes: TrialChange, leaving = false) =>
  request<Trial>('PATCH', `/trials/${id}`, changes, { keepalive: leaving });

export const remove = (id: string) => request<void>('DELETE', `/trials/${id}`);

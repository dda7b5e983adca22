// Requests of final tests. Apart from the others, so that the first page does not carry them.

import type { FinalTest } from '../wire/FinalTest';
import type { FinalTestChange } from '../wire/FinalTestChange';
import type { FinalTestList } from '../wire/FinalTestList';
import type { NewFinalTest } from '../wire/NewFinalTest';
import type { TestDraft } from '../wire/TestDraft';
import { request } from './request';

export const list = (job: string, signal?: AbortSignal) =>
  request<FinalTestList>('GET', `/jobs/${job}/tests`, undefined, { signal });

export const begin = (job: string, test: NewFinalTest) =>
  request<FinalTest>('POST', `/jobs/${job}/tests`, test);

/** What is known before it is begun: the last of its kind, and numbers that stand in readings. */
export const judged = (job: string, test: NewFinalTest, signal?: AbortSignal) =>
  request<TestDraft>('POST', `/jobs/${job}/tests/judged`, test, { signal });

export const change = (id: string, changes: FinalTestChange, leaving = false) =>
  request<FinalTest>('PATCH', `/tests/${id}`, changes, { keepalive: leaving });

export const remove = (id: string) => request<void>('DELETE', `/tests/${id}`);

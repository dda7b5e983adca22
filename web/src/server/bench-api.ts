// Requests of taking down and putting together. Apart from the others, so that the first page does
// not carry them.

import type { LogChange } from '../wire/LogChange';
import type { LogEntry } from '../wire/LogEntry';
import type { Bottle, BottleFields, BottleList } from '../bench/wire-bottles';
import type { OwnTrade } from '../bench/wire-own';
import type { TemplateList, TemplateSummary } from '../bench/wire-templates';
import type { LogKept } from '../wire/LogKept';
import type { Movement } from '../wire/Movement';
import type { Photo } from '../wire/Photo';
import type { Trade } from '../wire/Trade';
import { BASE, query, request } from './request';

/** How the trains of twins go in. */
export type Trains = 'as-taken-down' | 'together' | 'one-after-the-other';

/** After this a line counts as cut; the same is sent again. */
const ENTRIES_MS = 20_000;
const PHOTO_MS = 90_000;

const get = <T>(path: string, signal?: AbortSignal) => request<T>('GET', path, undefined, { signal });
const remove = (path: string) => request<void>('DELETE', path);

export const log = {
  movement: (job: string, trains: Trains, signal?: AbortSignal) =>
    get<Movement>(`/jobs/${job}/movement${query({ trains })}`, signal),
  enter: (job: string, entries: LogEntry[]) =>
    request<LogKept>('POST', `/jobs/${job}/log`, { entries }, {
      signal: AbortSignal.timeout(ENTRIES_MS),
    }),
  putPhoto: (job: string, id: string, picture: Blob, name: string) => {
    const form = new FormData();
    form.append('photo', picture, name);
    return request<Photo>('PUT', `/jobs/${job}/photos/${id}`, form, {
      signal: AbortSignal.timeout(PHOTO_MS),
    });
  },
};

export const trade = {
  all: () => get<Trade>('/trade'),
  own: () => get<OwnTrade>('/trade/own'),
  putOwn: (own: Pick<OwnTrade, 'version' | 'text'>) =>
    request<OwnTrade>('PUT', '/trade/own', own),
};

export const templates = {
  list: () => get<TemplateList>('/templates'),
  keep: (job_id: string, name: string, note: string) =>
    request<TemplateSummary>('POST', '/templates', { name, note, job_id }),
  takeIn: (file: string) => request<TemplateSummary>('POST', '/templates', { file }),
  file: (id: string) => `${BASE}/templates/${id}/file`,
  drafts: (id: string) => get<{ changes: LogChange[] }>(`/templates/${id}/drafts`),
  remove: (id: string) => remove(`/templates/${id}`),
};

export const bottles = {
  list: () => get<BottleList>('/bottles'),
  add: ({ used_up: _, ...bottle }: BottleFields) => request<Bottle>('POST', '/bottles', bottle),
  change: (id: string, change: Partial<BottleFields> & { version: number }) =>
    request<Bottle>('PATCH', `/bottles/${id}`, change),
  remove: (id: string) => remove(`/bottles/${id}`),
};

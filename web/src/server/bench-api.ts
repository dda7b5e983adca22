// Requests of taking down and putting together. Apart from the others, so that the first page does
// not carry them.

import type { LogEntry } from '../wire/LogEntry';
import type { Bottle } from '../wire/Bottle';
import type { BottleChange } from '../wire/BottleChange';
import type { BottleList } from '../wire/BottleList';
import type { LogKept } from '../wire/LogKept';
import type { Movement } from '../wire/Movement';
import type { NewBottle } from '../wire/NewBottle';
import type { OwnTrade } from '../wire/OwnTrade';
import type { OwnTradeChange } from '../wire/OwnTradeChange';
import type { Photo } from '../wire/Photo';
import type { RulesOff } from '../wire/RulesOff';
import type { RulesOffChange } from '../wire/RulesOffChange';
import type { Template } from '../wire/Template';
import type { TemplateChange } from '../wire/TemplateChange';
import type { TemplateDrafts } from '../wire/TemplateDrafts';
import type { TemplateList } from '../wire/TemplateList';
import type { Trade } from '../wire/Trade';
import type { TradeRuleList } from '../wire/TradeRuleList';
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
  rules: () => get<TradeRuleList>('/trade/rules'),
  off: () => get<RulesOff>('/trade/off'),
  putOff: (off: RulesOffChange) => request<RulesOff>('PUT', '/trade/off', off),
  own: () => get<OwnTrade>('/trade/own'),
  putOwn: (own: OwnTradeChange) =>
    request<OwnTrade>('PUT', '/trade/own', own),
};

export const templates = {
  list: () => get<TemplateList>('/templates'),
  keep: (job_id: string, name: string, note: string) =>
    request<Template>('POST', '/templates', { name, note, job_id }),
  takeIn: (file: string) => request<Template>('POST', '/templates', { file }),
  file: (id: string) => `${BASE}/templates/${id}/file`,
  drafts: (id: string) => get<TemplateDrafts>(`/templates/${id}/drafts`),
  change: (id: string, change: TemplateChange) => request<Template>('PATCH', `/templates/${id}`, change),
  remove: (id: string) => remove(`/templates/${id}`),
};

export const bottles = {
  list: () => get<BottleList>('/bottles'),
  add: (bottle: NewBottle) => request<Bottle>('POST', '/bottles', bottle),
  change: (id: string, change: BottleChange) =>
    request<Bottle>('PATCH', `/bottles/${id}`, change),
  remove: (id: string) => remove(`/bottles/${id}`),
};

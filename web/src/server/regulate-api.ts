// Requests of regulating. Apart from the others, so that the first page does not carry them.

import type { Adjustment } from '../wire/Adjustment';
import type { AdjustmentChange } from '../wire/AdjustmentChange';
import type { AdjustmentList } from '../wire/AdjustmentList';
import type { NewAdjustment } from '../wire/NewAdjustment';
import type { Regulating } from '../wire/Regulating';
import type { RegulatingOverWind } from '../wire/RegulatingOverWind';
import { BASE, query, request } from './request';

/** What is wished of a sheet: as it was at a moment; what is near enough to the target, s/d. */
export interface SheetWish {
  until: string | null;
  near_s_per_d: number | null;
}

export const sheet = (job: string, wish: SheetWish, signal?: AbortSignal) =>
  request<Regulating>('GET', `/jobs/${job}/regulate${query({ ...wish })}`, undefined, { signal });

export const moves = {
  list: (job: string) => request<AdjustmentList>('GET', `/jobs/${job}/adjustments`),
  enter: (job: string, move: NewAdjustment) =>
    request<Adjustment>('POST', `/jobs/${job}/adjustments`, move),
  change: (id: string, change: AdjustmentChange) =>
    request<Adjustment>('PATCH', `/adjustments/${id}`, change),
  remove: (id: string) => request<void>('DELETE', `/adjustments/${id}`),
};

/** How a balance goes in a long reading as the mainspring runs down; the server hears it again. */
export const overWind = (reading: string, balance: string) =>
  request<RegulatingOverWind>('GET', `/readings/${reading}/over-wind${query({ balance })}`);

export const coursePicture = (reading: string, theme: string, width: number) =>
  `${BASE}/readings/${reading}/course.svg${query({ theme, width })}`;

// Requests of papers. Apart from the others, so that the first page does not carry them.

import type { PaperCheck } from '../wire/PaperCheck';
import type { PaperHead } from '../wire/PaperHead';
import type { PaperHeadWish } from '../wire/PaperHeadWish';
import type { PaperKind } from '../wire/PaperKind';
import type { PaperList } from '../wire/PaperList';
import type { PaperProgress } from '../wire/PaperProgress';
import type { PaperSize } from '../wire/PaperSize';
import { BASE, query, request } from './request';

/** How a paper is wished; what is left out is as it usually is. */
export interface PaperWish {
  colleague?: boolean;
  drawings?: boolean;
  paper?: PaperSize;
  /** Ids with commas between them, "none" for none. */
  photos?: string;
}

export const list = (job: string, signal?: AbortSignal) =>
  request<PaperList>('GET', `/jobs/${job}/papers`, undefined, { signal });

/** Makes the paper; only what became of it is answered. */
export const check = (job: string, kind: PaperKind, wish: PaperWish, signal: AbortSignal) =>
  request<PaperCheck>('GET', `/jobs/${job}/papers/${kind}/check${query({ ...wish })}`, undefined, {
    signal,
  });

/** How far it is, while it is made. */
export const progress = (job: string, kind: PaperKind) =>
  request<PaperProgress>('GET', `/jobs/${job}/papers/${kind}/progress`);

/** Where the PDF is. */
export const address = (job: string, kind: PaperKind, wish: PaperWish) =>
  `${BASE}/jobs/${job}/papers/${kind}.pdf${query({ ...wish })}`;

export const head = {
  get: () => request<PaperHead>('GET', '/settings/papers'),
  put: (wish: PaperHeadWish) => request<PaperHead>('PUT', '/settings/papers', wish),
  putSign: (sign: File) => {
    const form = new FormData();
    form.append('sign', sign, sign.name);
    return request<PaperHead>('PUT', '/settings/papers/sign', form);
  },
  removeSign: () => request<void>('DELETE', '/settings/papers/sign'),
  // With its name in the address, another sign is fetched anew.
  sign: (name: string) => `${BASE}/settings/papers/sign${query({ name })}`,
  preview: `${BASE}/settings/papers/preview.pdf`,
};

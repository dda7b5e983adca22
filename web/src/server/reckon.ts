// What follows from a movement's written form. Apart from the other requests, so that the first page
// does not carry it.

import type { Reckoned } from '../wire/Reckoned';
import type { ReckonWish } from '../wire/ReckonWish';
import { request } from './request';

export const reckon = (wish: ReckonWish, signal: AbortSignal) =>
  request<Reckoned>('POST', '/reckon', wish, { signal });

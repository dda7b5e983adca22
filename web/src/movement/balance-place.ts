// Which colour and letter a balance has: by its letter where it is called by one, as everywhere in this
// page; else by its place.

import type { ReckonedBalance } from '../wire/ReckonedBalance';

export function labelOf(balances: ReckonedBalance[], place: number): string {
  const name = balances[place]?.name ?? '';
  return /^[A-Z]$/.test(name) ? name : String.fromCharCode(65 + (place % 26));
}

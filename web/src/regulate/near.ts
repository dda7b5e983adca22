// What is near enough to the target, s/d, as this device wants it.

import { numberIn } from '../words/numbers';

const NAME = 'endshake.near';

/** Undefined where the text is no number that the server takes. */
export function readNear(text: string): number | undefined {
  const near = numberIn(text);
  return near !== undefined && near >= 0.1 && near <= 100 ? near : undefined;
}

/** Null: as the program has it. */
export function nearWish(): number | null {
  try {
    return readNear(localStorage.getItem(NAME) ?? '') ?? null;
  } catch {
    return null;
  }
}

export function keepNear(near: number | null) {
  try {
    if (near === null) localStorage.removeItem(NAME);
    else localStorage.setItem(NAME, String(near));
  } catch {
    // Then it holds until the page is closed.
  }
}

// What is said of papers.

import type { PaperKind } from '../wire/PaperKind';

/** What each is for. */
export const PURPOSES: Record<PaperKind, string> = {
  receipt: 'What came in, in which state, and why; to be signed by both.',
  estimate: 'What the work will cost; the owner says yes or no to it.',
  report: 'What was found and done and how it runs; goes home with the watch.',
};

/** "214 kB": powers of 1000, as the SI has them. */
export function fileSize(bytes: number): string {
  if (bytes < 1000) return `${bytes} B`;
  return bytes < 999_500 ? `${Math.round(bytes / 1000)} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
}

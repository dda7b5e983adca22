// The chapters of the guide, whose text is in docs/guide (see web/guide-pages.ts).

import summary from '../../../docs/guide/src/SUMMARY.md';
import type { Chapter } from './chapter';

export const chapters: readonly Chapter[] = summary;

const texts = import.meta.glob<string>(
  ['../../../docs/guide/src/*.md', '!../../../docs/guide/src/SUMMARY.md'],
  { import: 'default' },
);

/** The HTML of a chapter; nothing where there is none of that name. */
export const textOf = (name: string): Promise<string> | null =>
  texts[`../../../docs/guide/src/${name}.md`]?.() ?? null;

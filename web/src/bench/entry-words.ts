import type { LogChange } from './log-entries';

/** What an entry is about, for a list of what waits. */
export function entryWords(change: LogChange): string {
  switch (change.kind) {
    case 'took_out':
      return `Took out ${change.parts.map(({ name, kind }) => name || kind || 'a part').join(', ')}`;
    case 'amended':
    case 'part_amended':
      return 'A mended step';
    case 'split':
      return 'A split of a step';
    case 'moved':
      return 'A step moved in the order';
    case 'annotated':
      return `Note “${change.note}”`;
    case 'photo_added':
      return 'A photo of a step';
    case 'placed':
      return 'Put in';
    case 'removed':
      return 'Taken out once more';
    case 'turned':
      return 'Turned over';
    case 'work_done':
      return 'Work done';
    case 'check_made':
      return 'A check';
    case 'skipped':
      return 'Work skipped';
    case 'relation_added':
    case 'relation_dropped':
      return 'A relation of two parts';
    case 'left_out':
      return 'Something left out';
    case 'taken_back':
      return 'An entry taken back';
  }
}

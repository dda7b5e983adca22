// What an archive holds, in words.

import type { Counted } from '../wire/Counted';

/** One of each, and more. */
const WORDS: Record<string, [string, string]> = {
  owner: ['owner', 'owners'],
  watch: ['watch', 'watches'],
  job: ['job', 'jobs'],
  part: ['part to order', 'parts to order'],
  estimate: ['estimate', 'estimates'],
  photo: ['photo', 'photos'],
  reading: ['reading', 'readings'],
  template: ['template', 'templates'],
  bottle: ['bottle', 'bottles'],
  adjustment: ['adjustment', 'adjustments'],
  trial: ['trial', 'trials'],
  final_test: ['final test', 'final tests'],
  log_entry: ['entry of a log', 'entries of logs'],
  clock: ['recorder’s clock', 'recorders’ clocks'],
  setting: ['setting', 'settings'],
  change: ['row of the history', 'rows of the history'],
};

/** "1 owner, 3 jobs"; files are left out: they belong to photos and readings. */
export function counted(counts: Counted[]): string {
  const order = Object.keys(WORDS);
  const known = counts.filter(({ what, count }) => what in WORDS && count > 0);
  known.sort((one, other) => order.indexOf(one.what) - order.indexOf(other.what));
  const words = known.map(({ what, count }) => many(count, ...(WORDS[what] ?? [what, what])));
  return words.length === 0 ? 'nothing' : words.join(', ');
}

export function many(count: number, one: string, more: string): string {
  return `${count} ${count === 1 ? one : more}`;
}

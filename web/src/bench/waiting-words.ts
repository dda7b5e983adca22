import type { Waiting } from './outbox-shelf';

/** "3 steps and 2 photos wait for the line." */
export function waitingWords(waiting: Waiting[]): string {
  const photos = waiting.filter(({ kind }) => kind === 'photo').length;
  const entries = waiting.flatMap((item) => (item.kind === 'entry' ? [item.entry.change.kind] : []));
  const allSteps = entries.every((kind) => kind === 'took_out');
  const [one, many] = allSteps ? ['step', 'steps'] : ['entry', 'entries'];
  const counted = [count(entries.length, one, many), count(photos, 'photo', 'photos')];
  const words = counted.filter((part) => part !== '').join(' and ');
  return `${words} ${waiting.length === 1 ? 'waits' : 'wait'} for the line.`;
}

function count(of: number, one: string, many: string): string {
  return of === 0 ? '' : `${of} ${of === 1 ? one : many}`;
}

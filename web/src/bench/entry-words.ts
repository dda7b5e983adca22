import type { LogChange } from '../wire/LogChange';
import type { WorkRef } from '../wire/WorkRef';
import { workKey, type Overlaid } from './overlay';

/** What an entry is about, for a list of what waits. */
export function entryWords(change: LogChange, movement: Overlaid): string {
  const step = (id: string) => movement.steps.find((one) => one.id === id)?.name ?? 'a step';
  const work = (of: WorkRef) => workWords(of, movement);
  switch (change.kind) {
    case 'took_out':
      return `Took out ${change.parts.map(({ name, kind }) => name || kind || 'a part').join(', ')}`;
    case 'amended':
    case 'part_amended':
      return 'A step put right';
    case 'split':
      return `Split of ${step(change.step)}`;
    case 'moved':
      return `Moved in the order: ${step(change.step)}`;
    case 'annotated':
      return `Note “${change.note}”`;
    case 'photo_added':
      return `Photo of ${step(change.step)}`;
    case 'placed':
      return `Put in: ${step(change.step)}`;
    case 'removed':
      return `Came out once more: ${step(change.step)}`;
    case 'turned':
      return 'Turned over';
    case 'work_done':
      return `Done: ${work(change.work)}`;
    case 'check_made':
      return `Checked: ${work(change.work)}`;
    case 'skipped':
      return `Skipped: ${work(change.work)}`;
    case 'relation_added':
    case 'relation_dropped':
      return 'A relation of two parts';
    case 'left_out':
      return 'Something left out';
    case 'taken_back':
      return 'An entry taken back';
  }
}

function workWords(work: WorkRef, movement: Overlaid): string {
  const planned = movement.plan.flatMap((action) => (action.action === 'do' ? [action.work] : []));
  const all = [...planned, ...movement.settled, ...movement.missed];
  const found = all.find((one) => workKey(one.work) === workKey(work));
  return found ? `${found.words} (${found.on})` : work.rule;
}

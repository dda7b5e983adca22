// Work that can be settled with one press, as the server has found it together.

import { workKey } from '../bench/overlay';
import type { LogChange } from '../wire/LogChange';
import type { MovementWork } from '../wire/MovementWork';
import type { PlanTogether } from '../wire/PlanTogether';
import type { Todo } from './next';

export type Item = { kind: 'one'; todo: Todo } | { kind: 'go'; words: string; todos: Todo[] };

/** By what a go is known while it gets smaller. */
export const ruleOf = (todos: Todo[]): string => todos[0]?.work.work.rule ?? '';

/**
 * What is to be done, in its order: like work at one moment as one item, but for that of the rules
 * in `apart`.
 */
export function itemsOf(todos: Todo[], together: PlanTogether[], apart: ReadonlySet<string>): Item[] {
  const goOf = new Map(together.flatMap((go) => go.work.map((work) => [workKey(work), go] as const)));
  const items: Item[] = [];
  let last: { go: PlanTogether; todos: Todo[] } | undefined;
  for (const todo of todos) {
    const go = apart.has(ruleOf([todo])) ? undefined : goOf.get(workKey(todo.work.work));
    if (go && last?.go === go) {
      last.todos.push(todo);
      continue;
    }
    last = go && { go, todos: [todo] };
    items.push(last ? { kind: 'go', words: last.go.words, todos: last.todos } : { kind: 'one', todo });
  }
  // What is left of a go after the rest was settled one by one.
  return items.map((item) => {
    const [first] = item.kind === 'go' ? item.todos : [];
    return item.kind === 'go' && item.todos.length === 1 && first ? { kind: 'one', todo: first } : item;
  });
}

export const keyOf = (item: Item): string => {
  const [first] = item.kind === 'one' ? [item.todo] : item.todos;
  return first ? `${item.kind} ${workKey(first.work.work)}` : item.kind;
};

/** What is entered where all is well. */
export function settled(work: MovementWork): LogChange {
  return work.kind === 'check'
    ? { kind: 'check_made', work: work.work, outcome: 'good', value: null, note: '' }
    : { kind: 'work_done', work: work.work, bottle: work.bottle?.id ?? null, note: '' };
}

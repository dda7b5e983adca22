// What is to be done now, out of the plan that the server made. Nothing is planned here.

import type { MovementStep } from '../wire/MovementStep';
import type { MovementWork } from '../wire/MovementWork';
import { workKey, type Overlaid } from '../bench/overlay';

export interface Todo {
  work: MovementWork;
  /** Why now. */
  why: string;
  /** Whether the step cannot go in before it is settled. */
  blocks: boolean;
}

export type Now =
  | { what: 'turn'; up: 'dial' | 'train'; words: string; why: string }
  | {
      what: 'place';
      step: MovementStep;
      why: string;
      todos: Todo[];
      /** Steps that have to be in before it. */
      missing: MovementStep[];
    }
  /** Work that is left where nothing is to be placed. */
  | { what: 'work'; todos: Todo[] }
  | { what: 'end' };

/** What to do now: by the plan, or towards the step that the user has chosen. */
export function nowOf(movement: Overlaid, chosen: string | null): Now {
  const stepOf = (id: string) => movement.steps.find((step) => step.id === id);
  const own = chosen === null ? undefined : stepOf(chosen);
  if (own && own.placed_at === null && own.goes_in) {
    return placing(movement, own, 'You chose it.', []);
  }
  const todos: Todo[] = [];
  for (const action of movement.plan) {
    switch (action.action) {
      case 'turn':
        // Work of this side comes first, as the plan has it.
        if (todos.length > 0) return { what: 'work', todos };
        return { what: 'turn', up: action.up === 'dial' ? 'dial' : 'train', words: action.words, why: action.why };
      case 'do':
        todos.push({ work: action.work, why: action.why, blocks: false });
        break;
      case 'place': {
        const step = stepOf(action.step);
        if (step) return placing(movement, step, action.why, todos);
      }
    }
  }
  return todos.length > 0 ? { what: 'work', todos } : { what: 'end' };
}

function placing(movement: Overlaid, step: MovementStep, why: string, before: Todo[]): Now {
  const covered = step.placing?.would_cover ?? [];
  const blocking = new Set(covered.map(({ work }) => workKey(work)));
  const todos = before.map((todo) => ({ ...todo, blocks: blocking.has(workKey(todo.work.work)) }));
  const listed = new Set(todos.map(({ work }) => workKey(work.work)));
  for (const work of covered) {
    if (listed.has(workKey(work.work))) continue;
    const cover = work.covered_by ?? step.name;
    todos.push({ work, why: `Because ${cover} will cover it.`, blocks: true });
  }
  const missing = (step.placing?.missing ?? []).flatMap(
    (id) => movement.steps.find((other) => other.id === id) ?? [],
  );
  return { what: 'place', step, why, todos, missing };
}

/** Steps that could go in now, in the order of the plan. */
export function freeSteps(movement: Overlaid): MovementStep[] {
  const order = movement.plan.flatMap((action) => (action.action === 'place' ? [action.step] : []));
  return movement.steps
    .filter((step) => step.placing !== null && step.placing.missing.length === 0)
    .sort((a, b) => order.indexOf(a.id) - order.indexOf(b.id));
}

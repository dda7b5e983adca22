// The movement as layers, for drawing: by side, the highest first.

import type { Overlaid } from '../bench/overlay';
import type { MovementStep } from '../wire/MovementStep';

export type LayerState = 'in' | 'next' | 'free' | 'waits' | 'left_out';

export interface Cell {
  step: MovementStep;
  state: LayerState;
  /** Open work on it that the next step would cover. */
  covered: number;
}

export interface Layer {
  layer: number;
  cells: Cell[];
}

export interface SideOfLayers {
  side: string;
  words: string;
  /** The highest first: as it lies on the bench. */
  layers: Layer[];
}

/** The sides that have steps, the one that is up first. */
export function layersOf(movement: Overlaid, next: MovementStep | null): SideOfLayers[] {
  const covered = new Map<string, number>();
  for (const work of next?.placing?.would_cover ?? []) {
    for (const step of work.steps) covered.set(step, (covered.get(step) ?? 0) + 1);
  }
  const stateOf = (step: MovementStep): LayerState => {
    if (step.placed_at !== null) return 'in';
    if (!step.goes_in) return 'left_out';
    if (step.id === next?.id) return 'next';
    return step.placing !== null && step.placing.missing.length === 0 ? 'free' : 'waits';
  };
  const sides = [...new Set(movement.steps.map(({ side }) => side))];
  const rank = (side: string) => (side === movement.facing ? 0 : side === 'hand' || side === 'case' ? 2 : 1);
  sides.sort((a, b) => rank(a) - rank(b));
  return sides.map((side) => {
    const steps = movement.steps.filter((step) => step.side === side);
    const numbers = [...new Set(steps.map(({ layer }) => layer))].sort((a, b) => b - a);
    const layers = numbers.map((layer) => {
      const cells = steps
        .filter((step) => step.layer === layer)
        .map((step) => ({ step, state: stateOf(step), covered: covered.get(step.id) ?? 0 }))
        .sort((a, b) => (a.step.groups[0] ?? '').localeCompare(b.step.groups[0] ?? ''));
      return { layer, cells };
    });
    return { side, words: steps[0]?.side_words ?? side, layers };
  });
}

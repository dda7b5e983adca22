import { expect, test } from 'vitest';
import type { Reckoned } from '../wire/Reckoned';
import { BOX, drawing, meshesInWords } from './drawing';

/** Arbors by their trains, and which mesh. */
function told(trains: number[], meshes: [number, number][], escapes: number[]): Reckoned {
  return {
    problems: [],
    title: '',
    filled_in: [],
    arbors: trains.map((train, n) => ({
      name: `arbor ${n}`,
      train,
      balance: null,
      turn_s: null,
      turn_words: '–',
      sense: '',
    })),
    meshes: meshes.map((arbors) => ({
      arbors,
      names: [`arbor ${arbors[0]} wheel`, `arbor ${arbors[1]} pinion`],
      teeth: [80, null],
      tooth_s: null,
      repeat_s: null,
      repeat_words: '–',
    })),
    balances: escapes.map((escape_arbor, n) => ({
      name: String.fromCharCode(65 + n),
      escape_arbor,
      beats_per_hour: null,
      beats_words: '–',
      lift_angle_deg: null,
      pieces: [],
      own_beats_per_hour: null,
      own_gain_s_per_d: null,
      sight: null,
    })),
    hands: [],
    barrels: [],
    mainsprings: [],
    cycles: [],
    sums: [],
    missing: [],
  };
}

test('a train runs straight down to its escape wheel, and what branches off stands beside it', () => {
  // 0 drives 1 and 4; 1 drives 2, the escape wheel 3 comes last.
  const drawn = drawing(told([0, 0, 0, 0, 0], [[0, 4], [0, 1], [1, 2], [2, 3]], [3]));
  const at = (arbor: number) => drawn.nodes.find((node) => node.arbor === arbor);
  expect(new Set([0, 1, 2, 3].map((arbor) => at(arbor)?.x)).size).toBe(1);
  expect([0, 1, 2, 3].map((arbor) => at(arbor)?.y)).toEqual(
    [0, 1, 2, 3].map((arbor) => at(arbor)?.y).sort((a, b) => (a ?? 0) - (b ?? 0)),
  );
  expect(at(4)?.y).toBe(at(1)?.y);
  expect(at(4)?.x).toBeGreaterThan(at(1)?.x ?? 0);
});

test('trains stand apart and nothing lies on anything', () => {
  const drawn = drawing(told([0, 1, 0, 1, 2], [[0, 2], [1, 3]], [2, 3]));
  expect(drawn.nodes).toHaveLength(5);
  for (const [n, one] of drawn.nodes.entries()) {
    expect(one.x + BOX.width / 2).toBeLessThanOrEqual(drawn.width);
    expect(one.y + BOX.height / 2).toBeLessThanOrEqual(drawn.height);
    for (const other of drawn.nodes.slice(n + 1)) {
      const apart =
        Math.abs(one.x - other.x) >= BOX.width || Math.abs(one.y - other.y) >= BOX.height;
      expect(apart, `${one.arbor} and ${other.arbor}`).toBe(true);
    }
  }
});

test('a ring of wheels is drawn as well, and all of it in words', () => {
  const ring = told([0, 0, 0], [[0, 1], [1, 2], [2, 0]], []);
  const drawn = drawing(ring);
  expect(drawn.nodes).toHaveLength(3);
  const words = meshesInWords(ring, drawn);
  expect(words).toHaveLength(3);
  expect(words).toContain('The arbor 0 wheel (80) drives the arbor 1 pinion (?).');
});

// Where arbors stand in the drawing: each train by itself, from its barrel down to its escape wheel,
// with what branches off beside that way.

import type { Reckoned } from '../wire/Reckoned';

export interface Node {
  arbor: number;
  /** Middle of the box. */
  x: number;
  y: number;
}

export interface Edge {
  mesh: number;
  from: Node;
  to: Node;
}

export interface Drawing {
  width: number;
  height: number;
  nodes: Node[];
  edges: Edge[];
}

export const BOX = { width: 148, height: 62 } as const;
const GAP = { across: 22, down: 46, edge: 6 } as const;

/** Arbors that mesh with each. */
function neighbours({ arbors, meshes }: Reckoned): number[][] {
  const all: number[][] = arbors.map(() => []);
  for (const { arbors: [one, other] } of meshes) {
    all[one]?.push(other);
    all[other]?.push(one);
  }
  return all;
}

/** How far each arbor is from the root, and from where it is reached. */
function reached(root: number, next: number[][]) {
  const from = new Map<number, number | null>([[root, null]]);
  const depth = new Map([[root, 0]]);
  const waiting = [root];
  for (let at = waiting.shift(); at !== undefined; at = waiting.shift()) {
    for (const other of next[at] ?? []) {
      if (from.has(other)) continue;
      from.set(other, at);
      depth.set(other, (depth.get(at) ?? 0) + 1);
      waiting.push(other);
    }
  }
  return { from, depth };
}

export function drawing(told: Reckoned): Drawing {
  const next = neighbours(told);
  const nodes: Node[] = [];
  let left = GAP.edge;
  let deepest = 0;
  const trains = new Set(told.arbors.map(({ train }) => train));
  for (const train of trains) {
    const ours = told.arbors.flatMap((arbor, n) => (arbor.train === train ? [n] : []));
    const escapes = told.balances.map((b) => b.escape_arbor).filter((at) => ours.includes(at));
    const drum = told.barrels.map(({ drum }) => drum).find((at) => ours.includes(at));
    // Without a barrel, what was written down first.
    const root = drum ?? ours[0] ?? 0;
    const { from, depth } = reached(root, next);
    const main = new Set<number>();
    for (const escape of escapes) {
      for (let at: number | null | undefined = escape; at != null; at = from.get(at)) main.add(at);
    }
    const levels: number[][] = [];
    // In the order in which they are reached, what leads to the escape wheel first.
    for (const at of [...from.keys()]) (levels[depth.get(at) ?? 0] ??= []).push(at);
    for (const level of levels) level.sort((a, b) => Number(main.has(b)) - Number(main.has(a)));
    for (const [down, level] of levels.entries()) {
      for (const [across, arbor] of level.entries()) {
        nodes.push({
          arbor,
          x: left + BOX.width / 2 + across * (BOX.width + GAP.across),
          y: GAP.edge + BOX.height / 2 + down * (BOX.height + GAP.down),
        });
      }
    }
    const widest = Math.max(1, ...levels.map((level) => level.length));
    left += widest * (BOX.width + GAP.across);
    deepest = Math.max(deepest, levels.length);
  }
  const of = new Map(nodes.map((node) => [node.arbor, node]));
  const edges = told.meshes.flatMap(({ arbors: [one, other] }, mesh) => {
    const ends = [of.get(one), of.get(other)];
    const [from, to] = ends.sort((a, b) => (a?.y ?? 0) - (b?.y ?? 0));
    return from && to ? [{ mesh, from, to }] : [];
  });
  return {
    width: Math.max(left - GAP.across + GAP.edge, BOX.width),
    height: deepest * (BOX.height + GAP.down) - GAP.down + 2 * GAP.edge,
    nodes,
    edges,
  };
}

/** Each mesh in words, the driver (the one nearer to the barrel) first. */
export function meshesInWords(told: Reckoned, { edges }: Drawing): string[] {
  return edges.map(({ mesh, from }) => {
    const found = told.meshes[mesh];
    if (!found) return '';
    const order = found.arbors[0] === from.arbor ? ([0, 1] as const) : ([1, 0] as const);
    const [driver, driven] = order.map((n) => `${found.names[n]} (${found.teeth[n] ?? '?'})`);
    return `The ${driver} drives the ${driven}.`;
  });
}

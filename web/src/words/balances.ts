// What tells one balance from another: letter, colour, shape of the badge, line style. As in the
// pictures that the server draws (crates/plot/src/theme.rs).

export const COLOURS = 6;

/** Dashes and gaps in px; an empty one is a solid line. */
const DASHES: number[][] = [
  [],
  [7, 4],
  [1.5, 3.5],
  [9, 3.5, 1.5, 3.5],
  [14, 4],
  [9, 3, 1.5, 3, 1.5, 3],
];

/** Corners of the badge in per cent of its box; null for a circle. */
const BADGES: (string | null)[] = [
  null,
  'circle(50%)',
  'polygon(50% 0, 100% 50%, 50% 100%, 0 50%)',
  'polygon(25% 4%, 75% 4%, 100% 50%, 75% 96%, 25% 96%, 0 50%)',
  'polygon(50% 0, 100% 38%, 82% 100%, 18% 100%, 0 38%)',
  'polygon(30% 0, 70% 0, 100% 30%, 100% 70%, 70% 100%, 30% 100%, 0 70%, 0 30%)',
];

/** A is 0, B is 1. */
export function placeOf(label: string): number {
  const code = label.charCodeAt(0) - 65;
  return code >= 0 && code < 26 ? code : 0;
}

export const colourVariable = (place: number) => `--balance-${(place % COLOURS) + 1}`;
export const onColourVariable = (place: number) => `--on-balance-${(place % COLOURS) + 1}`;
export const dashes = (place: number): number[] =>
  DASHES[(place % COLOURS + Math.floor(place / COLOURS)) % COLOURS] ?? [];
export const badgeShape = (place: number): string => BADGES[place % COLOURS] ?? 'none';

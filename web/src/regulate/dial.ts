// Geometry of the dial: directions clockwise from 12, as a watch lies before one.

export interface Point {
  x: number;
  y: number;
}

export function onDial(direction_deg: number, radius: number): Point {
  const angle = (direction_deg * Math.PI) / 180;
  return { x: radius * Math.sin(angle), y: -radius * Math.cos(angle) };
}

const written = ({ x, y }: Point) => `${x.toFixed(2)} ${y.toFixed(2)}`;

/** The outline of a sector between two radii; a whole ring from 180° on. */
export function sectorPath(direction_deg: number, half_deg: number, inner: number, outer: number): string {
  // An arc from a point to itself is none: a ring lacks a hair.
  const half = Math.min(Math.max(half_deg, 0), 179.95);
  const large = half > 90 ? 1 : 0;
  const [from, to] = [direction_deg - half, direction_deg + half];
  return [
    `M${written(onDial(from, outer))}`,
    `A${outer} ${outer} 0 ${large} 1 ${written(onDial(to, outer))}`,
    `L${written(onDial(to, inner))}`,
    `A${inner} ${inner} 0 ${large} 0 ${written(onDial(from, inner))}Z`,
  ].join('');
}

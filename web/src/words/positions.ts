import type { Position } from '../wire/Position';

export interface KnownPosition {
  position: Position;
  words: string;
  /** The key that chooses it. */
  key: string;
}

/** The six of ISO 3158 by its symbols and in its order. */
export const STANDARD: KnownPosition[] = [
  { position: 'CH', words: 'dial up', key: '1' },
  { position: 'FH', words: 'dial down', key: '2' },
  { position: '12H', words: '12 up', key: '3' },
  { position: '3H', words: '3 up', key: '4' },
  { position: '6H', words: '6 up', key: '5' },
  { position: '9H', words: '9 up', key: '6' },
];

/** Half-way between the upright ones: for poise. The standard names none; symbols in its manner. */
export const HALF_WAY: KnownPosition[] = [
  { position: '1:30H', words: '1:30 up', key: 'a' },
  { position: '4:30H', words: '4:30 up', key: 'b' },
  { position: '7:30H', words: '7:30 up', key: 'c' },
  { position: '10:30H', words: '10:30 up', key: 'd' },
];

export const POSITIONS: KnownPosition[] = [...STANDARD, ...HALF_WAY];

export const isHalfWay = (position: Position): boolean =>
  HALF_WAY.some((entry) => entry.position === position);

export const positionWords = (position: Position): string =>
  POSITIONS.find((entry) => entry.position === position)?.words ?? position;

/** States of wind that are offered; any other words may be written. */
export const WINDS = ['full wind', 'after 24 h', 'low wind'] as const;

/** "FH dial down, full wind" */
export function placeWords(position: Position | null, wind: string): string {
  const place = position ? `${position} ${positionWords(position)}` : 'no position told';
  return wind === '' ? place : `${place}, ${wind}`;
}

import type { Position } from '../wire/Position';

/** The symbols of ISO 3158 in its order, plain words, and the key that chooses each. */
export const POSITIONS: { position: Position; words: string; key: string }[] = [
  { position: 'CH', words: 'dial up', key: '1' },
  { position: 'FH', words: 'dial down', key: '2' },
  { position: '12H', words: '12 up', key: '3' },
  { position: '3H', words: '3 up', key: '4' },
  { position: '6H', words: '6 up', key: '5' },
  { position: '9H', words: '9 up', key: '6' },
];

export const positionWords = (position: Position): string =>
  POSITIONS.find((entry) => entry.position === position)?.words ?? position;

/** States of wind that are offered; any other words may be written. */
export const WINDS = ['full wind', 'after 24 h', 'low wind'] as const;

/** "FH dial down, full wind" */
export function placeWords(position: Position | null, wind: string): string {
  const place = position ? `${position} ${positionWords(position)}` : 'no position told';
  return wind === '' ? place : `${place}, ${wind}`;
}

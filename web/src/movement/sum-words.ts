// Numbers of sums as they are shown: those that are small keep their figures.

import type { Value } from '../wire/Value';
import { inLine, plain } from '../words/numbers';

export function shownSum({ value, sd }: Value, unit: string, signed = false): string {
  const plus = signed && value > 0 ? '+' : '';
  if (value !== 0 && Math.abs(value) < 0.001) {
    const number = value.toPrecision(4);
    return sd > 0 ? `${plus}${number} ± ${sd.toPrecision(2)} ${unit}` : `${plus}${number} ${unit}`;
  }
  if (sd > 0) return inLine({ value, sd }, unit, { most: 6, signed });
  const between = unit === '°' || unit === '' ? '' : ' ';
  // What is exact ends with its last figure.
  const exact = plain(value, 4).replace(/\.?0+$/, '');
  return `${plus}${exact}${between}${unit}`;
}

// What the rate sheet shows, from what the server says. Nothing of it is computed here but where
// things stand on the page.

import type { RegulatingVerdict } from '../wire/RegulatingVerdict';
import type { Adjustment } from '../wire/Adjustment';
import type { Position } from '../wire/Position';
import type { RegulatingBalance } from '../wire/RegulatingBalance';
import type { RegulatingBoundary } from '../wire/RegulatingBoundary';
import type { RegulatingCell } from '../wire/RegulatingCell';
import type { RegulatingStatistic } from '../wire/RegulatingStatistic';

export const cellAt = (
  balance: RegulatingBalance,
  position: Position,
  wind: number,
): RegulatingCell | undefined =>
  balance.cells.find((cell) => cell.position === position && cell.wind === wind);

/** A row of statistics: the same number in each state of wind, nothing where it cannot be said. */
export interface StatisticRow {
  code: string;
  words: string;
  unit: string;
  each: (RegulatingStatistic | undefined)[];
}

export function statisticRows(balance: RegulatingBalance, winds: number): StatisticRow[] {
  const rows = new Map<string, StatisticRow>();
  for (const { wind, statistics } of balance.columns) {
    for (const statistic of statistics) {
      const { code, words, unit } = statistic;
      const row = rows.get(code) ?? { code, words, unit, each: Array(winds).fill(undefined) };
      row.each[wind] = statistic;
      rows.set(code, row);
    }
  }
  return [...rows.values()];
}

/** The state of wind with most positions since the last change; the fuller one where two are alike. */
export function fullestWind(balance: RegulatingBalance): number | null {
  const counts = new Map<number, number>();
  for (const { wind, is_of_before } of balance.cells) {
    if (!is_of_before) counts.set(wind, (counts.get(wind) ?? 0) + 1);
  }
  let best: number | null = null;
  for (const [wind, count] of [...counts].sort(([a], [b]) => a - b)) {
    if (best === null || count > (counts.get(best) ?? 0)) best = wind;
  }
  return best;
}

/** Something that was changed at the watch; with the move that did it, where it was a move. */
export interface Changed {
  at: string;
  words: string;
  balance: string | null;
  move: Adjustment | null;
}

/** Moves and all else that parts readings before from those after, the last first. */
export function changes(boundaries: RegulatingBoundary[], moves: Adjustment[]): Changed[] {
  const ofMoves = moves.map((move) => ({
    at: move.at,
    words: move.words,
    balance: move.balance === '' ? null : move.balance,
    move,
  }));
  const isMove = (boundary: RegulatingBoundary) =>
    ofMoves.some(({ at, balance, words }) => at === boundary.at && balance === boundary.balance && words === boundary.words);
  const others = boundaries.filter((one) => !isMove(one)).map((one) => ({ ...one, move: null }));
  return [...ofMoves, ...others].sort((a, b) => b.at.localeCompare(a.at));
}

/** "a day", "a week", "a month", "3 days" */
export function daysWords(days: number): string {
  switch (days) {
    case 1:
      return 'a day';
    case 7:
      return 'a week';
    case 30:
      return 'a month';
    default:
      return `${days} days`;
  }
}

/** `pass`, `fail` or `cannot_tell`, as people say it. */
export function verdictWords(verdict: RegulatingVerdict): { words: string; mark: string; tone: 'ok' | 'bad' | 'dim' } {
  switch (verdict) {
    case 'pass':
      return { words: 'pass', mark: '✓', tone: 'ok' };
    case 'fail':
      return { words: 'fail', mark: '✗', tone: 'bad' };
    case 'cannot_tell':
      return { words: 'cannot tell', mark: '?', tone: 'dim' };
  }
}

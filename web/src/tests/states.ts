// How a verdict and what the repairer says of a test are shown.

import { verdictWords } from '../regulate/view';
import type { RegulatingVerdict } from '../wire/RegulatingVerdict';
import type { TestOutcome } from '../wire/TestOutcome';

export interface State {
  words: string;
  mark: string;
  tone: 'ok' | 'bad' | 'dim' | 'warn';
}

export const OUTCOMES: { value: TestOutcome; words: string }[] = [
  { value: 'passed', words: 'passed' },
  { value: 'failed', words: 'failed' },
  { value: 'not_decided', words: 'not decided' },
];

/** What is said of a test goes before what its numbers come to; null: there is none. */
export function stateOf(verdict: RegulatingVerdict | null, outcome: TestOutcome): State {
  if (verdict === null) return { words: '', mark: '·', tone: 'dim' };
  const said = verdictWords(verdict);
  if (verdict === 'cannot_tell') return { words: 'open', mark: said.mark, tone: 'warn' };
  if (outcome === 'not_decided') return said;
  return { ...said, words: verdict === 'pass' ? 'passed' : 'failed' };
}

/** Of one test: its outcome where one was said, else its verdict. */
export function stateOfTest(verdict: RegulatingVerdict, outcome: TestOutcome): State {
  if (outcome === 'passed') return stateOf('pass', outcome);
  if (outcome === 'failed') return stateOf('fail', outcome);
  return stateOf(verdict, outcome);
}

/** Whether what is said of it is the opposite of what its numbers come to. */
export const disagree = (verdict: RegulatingVerdict, outcome: TestOutcome): boolean =>
  (outcome === 'passed' && verdict === 'fail') || (outcome === 'failed' && verdict === 'pass');

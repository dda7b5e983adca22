// What follows from the text, asked for again a moment after it has changed.

import { reckon } from '../server/reckon';
import { sentence } from '../server/request';
import type { Reckoned } from '../wire/Reckoned';
import type { ReckonWish } from '../wire/ReckonWish';

const PAUSE_MS = 250;

export interface Following {
  /** The last answer that could be worked out; of an older text while a new one cannot be read. */
  readonly shown: Reckoned | undefined;
  /** What is wrong in the text as it stands. */
  readonly problems: Reckoned['problems'];
  /** What is shown is of an older text. */
  readonly old: boolean;
  readonly failure: string;
}

/** For use while a component is set up. */
export function following(wish: () => ReckonWish): Following {
  let newest = $state.raw<Reckoned | undefined>();
  let shown = $state.raw<Reckoned | undefined>();
  let failure = $state('');
  let first = true;

  $effect(() => {
    const asked = wish();
    const abort = new AbortController();
    const ask = async () => {
      try {
        const answer = await reckon(asked, abort.signal);
        newest = answer;
        // What cannot be read has nothing else to show: the last that could stays beside it.
        if (answer.arbors.length > 0 || answer.problems.length === 0) shown = answer;
        failure = '';
      } catch (cause) {
        if (!abort.signal.aborted) failure = sentence(cause);
      }
    };
    const timer = setTimeout(() => void ask(), first ? 0 : PAUSE_MS);
    first = false;
    return () => {
      clearTimeout(timer);
      abort.abort();
    };
  });

  return {
    get shown() {
      return shown;
    },
    get problems() {
      return newest?.problems ?? [];
    },
    get old() {
      return newest !== shown;
    },
    get failure() {
      return failure;
    },
  };
}

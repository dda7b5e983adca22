// How far the hearing of a kept sound is, while an answer that wants it is awaited.

import * as api from '../server/api';

/** An answer that is there sooner needs no word of its progress. */
const FIRST_MS = 1500;
const EVERY_MS = 1000;

/** For use while a component is set up; `of` is the reading that is waited for, if any. */
export function hearingProgress(of: () => string | undefined) {
  let share = $state<number | null>(null);
  $effect(() => {
    const id = of();
    share = null;
    if (id === undefined) return;
    let timer: ReturnType<typeof setTimeout>;
    let over = false;
    const ask = async () => {
      try {
        const heard = (await api.readings.hearing(id)).share;
        if (!over) share = heard;
      } catch {
        // What is waited for says what went wrong.
      }
      if (!over) timer = setTimeout(() => void ask(), EVERY_MS);
    };
    timer = setTimeout(() => void ask(), FIRST_MS);
    return () => {
      over = true;
      clearTimeout(timer);
    };
  });
  return {
    get share() {
      return share;
    },
    get words() {
      return share === null
        ? ''
        : `Hearing its sound again to find what repeats: ${Math.round(100 * share)} % of it…`;
    },
  };
}

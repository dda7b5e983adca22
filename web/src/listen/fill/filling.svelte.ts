// The run that is under way on this device. There is one, and it outlives the page that shows it:
// whoever looks up the sheet meanwhile finds it paused, not gone.

import type { Limits } from './wish';
import { begin, step, type Deed, type Happening, type Place, type Run } from './run';

export class Filling {
  run = $state.raw<Run | null>(null);
  job = $state<string | null>(null);
  limits: Limits = { seconds: 60, until_sd_s_per_d: null };
  /** Readings that the job had when the present one was begun. */
  known: ReadonlySet<string> = new Set();
  /** Second of listening at which what was heard before was forgotten. */
  anew_s = 0;
  /** Does what a step wishes done; set by the page while it is open. */
  ondeed: (deed: Deed) => void = () => {};

  start(job: string, places: readonly Place[], limits: Limits) {
    this.job = job;
    this.limits = limits;
    this.#take(begin(places));
  }

  tell(happening: Happening) {
    if (this.run) this.#take(step(this.run, happening));
  }

  end() {
    this.run = null;
    this.job = null;
  }

  #take({ run, deeds }: { run: Run; deeds: Deed[] }) {
    this.run = run;
    for (const deed of deeds) this.ondeed(deed);
  }
}

export const filling = new Filling();

// The movement of a job as the server has it, with what waits for the line laid over it.

import { untrack } from 'svelte';
import { log, type Trains } from '../server/bench-api';
import { loaded } from '../server/loaded.svelte';
import { bench } from './outbox.svelte';
import type { WaitingEntry } from './outbox-shelf';
import { overlaid, type Laid, type Overlaid } from './overlay';
import { trade } from './trade.svelte';

/** How long the event of a change may take, once the change is acknowledged. */
const EVENT_MS = 500;

export interface MovementView {
  readonly value: Overlaid | undefined;
  readonly error: string;
  readonly loading: boolean;
  again: () => void;
}

/** For use while a component is set up. */
export function movementOf(job: () => string, trains: () => Trains): MovementView {
  const fetched = loaded(
    async (signal) => {
      const settling = settlingOf(job());
      const movement = await log.movement(job(), trains(), signal);
      return { movement, settling };
    },
    (change) => change.kind === 'log_entry' && change.job_id === job(),
  );
  $effect(() => {
    const held = fetched.value?.settling;
    // It reads what it writes, and would wake itself.
    if (held) untrack(() => bench.settled(held));
  });
  // Where the event of a change does not come, its acknowledgement does.
  $effect(() => {
    if (!bench.settling.some((one) => one.job === job())) return;
    const timer = setTimeout(fetched.again, EVENT_MS);
    return () => clearTimeout(timer);
  });
  let laid: Laid[] = [];
  // The same list as before where nothing of it has changed: all that is shown hangs on it, and it
  // is read anew at each step of an entry's way to the server.
  const entries = $derived.by(() => {
    const now = laidOver(job(), fetched.value?.settling);
    if (!isSame(now, laid)) laid = now;
    return laid;
  });
  const value = $derived(
    fetched.value &&
      overlaid(fetched.value.movement, entries, (kind) => trade.kind(kind)),
  );
  return {
    get value() {
      return value;
    },
    get error() {
      return fetched.error;
    },
    get loading() {
      return fetched.loading;
    },
    again: fetched.again,
  };
}

/** What was entered here and is not in the server's answer, in its order. */
function laidOver(job: string, answered: ReadonlySet<string> | undefined): Laid[] {
  const sent = bench.settling.filter((one) => one.job === job && !answered?.has(one.entry.id));
  const known = new Set(bench.settling.map(({ entry }) => entry.id));
  const waiting = bench.waiting.filter(
    (item): item is WaitingEntry =>
      item.kind === 'entry' && item.job === job && isShown(item) && !known.has(item.entry.id),
  );
  return [
    ...sent.map(({ entry }) => ({ entry, sent: true })),
    ...waiting.map(({ entry }) => ({ entry, sent: false })),
  ];
}

// By what they say: the shelf gives copies, and an entry may be mended under its own id.
const isSame = (one: Laid[], other: Laid[]) => JSON.stringify(one) === JSON.stringify(other);

/** What the server would not have does not hold; a step stays in the list until it is mended. */
const isShown = ({ refusal, entry }: WaitingEntry) =>
  refusal === '' || entry.change.kind === 'took_out';

function settlingOf(job: string): ReadonlySet<string> {
  return new Set(untrack(() => bench.settling).filter((one) => one.job === job).map(({ entry }) => entry.id));
}

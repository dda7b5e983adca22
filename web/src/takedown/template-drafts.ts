// The steps of an earlier log, offered one by one. They are held in the browser until each is
// entered or said not to be there; their ids were made once, so that what refers to them holds.

import type { LogChange } from '../wire/LogChange';
import type { TakenOut } from '../wire/TakenOut';

export type TookOut = Extract<LogChange, { kind: 'took_out' }>;

/** The next step that is offered, and is not in the list yet; none where all are through. */
export const nextOffered = (drafts: LogChange[], known: string[]): TookOut | undefined =>
  drafts.find((change) => change.kind === 'took_out' && !known.includes(change.step)) as
    | TookOut
    | undefined;

const partsOf = (step: TakenOut): Set<string> => new Set(step.parts.map(({ id }) => id));

/** What is left, once a step was entered; and what is to be entered with it: relations of its parts. */
export function afterEntered(
  drafts: LogChange[],
  entered: TakenOut,
): { left: LogChange[]; also: LogChange[] } {
  const rest = drafts.filter((change) => change.kind !== 'took_out' || change.step !== entered.step);
  const toCome = new Set(
    rest.flatMap((change) => (change.kind === 'took_out' ? [...partsOf(change)] : [])),
  );
  const isReady = (change: LogChange) =>
    (change.kind === 'relation_added' || change.kind === 'relation_dropped') &&
    !toCome.has(change.first) &&
    !toCome.has(change.then);
  return { left: rest.filter((change) => !isReady(change)), also: rest.filter(isReady) };
}

/** What is left, where a step is not in this movement: nothing refers to its parts any more. */
export function afterNotThere(drafts: LogChange[], step: TakenOut): LogChange[] {
  const gone = partsOf(step);
  return drafts.flatMap((change): LogChange[] => {
    if (change.kind === 'took_out') {
      if (change.step === step.step) return [];
      const stays = (part: string) => !gone.has(part);
      const from = change.from_assembly;
      return [
        {
          ...change,
          rested_on: change.rested_on.filter(stays),
          was_under: change.was_under.filter(stays),
          from_assembly: from !== null && stays(from) ? from : null,
        },
      ];
    }
    if (change.kind === 'relation_added' || change.kind === 'relation_dropped') {
      return gone.has(change.first) || gone.has(change.then) ? [] : [change];
    }
    return [change];
  });
}

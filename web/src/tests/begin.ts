// What a test begins with: what the last of its kind of this watch was done with.

import { newId } from '../bench/ids';
import type { NewFinalTest } from '../wire/NewFinalTest';
import type { TestDraft } from '../wire/TestDraft';
import type { TestKind } from '../wire/TestKind';
import type { TestWay } from '../wire/TestWay';

export function beginning(
  kind: TestKind,
  draft: Pick<TestDraft, 'last' | 'standard'>,
  more: { what?: string; balance?: string; way?: TestWay } = {},
): NewFinalTest {
  const { last, standard } = draft;
  return {
    id: newId(),
    kind,
    fields: {
      ...more,
      standard: last?.standard ?? standard,
      instrument: last?.instrument ?? '',
      figures: last?.figures ?? [],
    },
  };
}

import type { TestLast } from "./TestLast";
import type { TestOffer } from "./TestOffer";
import type { TestSheet } from "./TestSheet";
import type { TestStandard } from "./TestStandard";

export type TestDraft = { standard: TestStandard, sheet: TestSheet, refused: string, offers: Array<TestOffer>, last: TestLast | null, };

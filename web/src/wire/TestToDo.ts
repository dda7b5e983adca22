import type { RegulatingVerdict } from "./RegulatingVerdict";
import type { TestKind } from "./TestKind";
import type { TestOutcome } from "./TestOutcome";

export type TestToDo = { kind: TestKind, words: string, is_usual: boolean, verdict: RegulatingVerdict | null, outcome: TestOutcome, stands: string, };

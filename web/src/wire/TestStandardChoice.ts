import type { TestStandard } from "./TestStandard";

export type TestStandardChoice = { standard: TestStandard, words: string, };

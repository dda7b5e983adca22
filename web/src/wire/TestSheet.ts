import type { RegulatingVerdict } from "./RegulatingVerdict";
import type { TestField } from "./TestField";
import type { TestReason } from "./TestReason";
import type { TestSignField } from "./TestSignField";
import type { TestStandardChoice } from "./TestStandardChoice";
import type { TestWayChoice } from "./TestWayChoice";

export type TestSheet = { kind_words: string, ways: Array<TestWayChoice>, standards: Array<TestStandardChoice>, fields: Array<TestField>, signs: Array<TestSignField>, wants_photos: boolean, steps: Array<string>, cautions: Array<string>, verdict: RegulatingVerdict, words: string, reasons: Array<TestReason>, edition: string, };

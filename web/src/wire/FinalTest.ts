import type { Moment } from "./Moment";
import type { TestFigure } from "./TestFigure";
import type { TestKind } from "./TestKind";
import type { TestOutcome } from "./TestOutcome";
import type { TestSheet } from "./TestSheet";
import type { TestSign } from "./TestSign";
import type { TestStandard } from "./TestStandard";
import type { TestWay } from "./TestWay";

export type FinalTest = { id: string, version: number, job_id: string, balance: string, kind: TestKind, way: TestWay | null, standard: TestStandard, what: string, called: string, instrument: string, conditions: string, done: Moment, figures: Array<TestFigure>, signs: Array<TestSign>, photos: Array<string>, readings: Array<string>, outcome: TestOutcome, note: string, sheet: TestSheet, };

import type { Moment } from "./Moment";
import type { TestFigureChange } from "./TestFigureChange";
import type { TestOutcome } from "./TestOutcome";
import type { TestSignChange } from "./TestSignChange";
import type { TestStandard } from "./TestStandard";
import type { TestWay } from "./TestWay";

export type TestFields = { balance?: string | null, way?: TestWay | null, standard?: TestStandard | null, what?: string | null, instrument?: string | null, conditions?: string | null, done?: Moment | null, figures?: Array<TestFigureChange> | null, signs?: Array<TestSignChange> | null, photos?: Array<string> | null, readings?: Array<string> | null, outcome?: TestOutcome | null, note?: string | null, };

import type { TestFigure } from "./TestFigure";
import type { TestStandard } from "./TestStandard";

export type TestLast = { words: string, standard: TestStandard, instrument: string, figures: Array<TestFigure>, };

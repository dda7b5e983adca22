import type { TestFigure } from "./TestFigure";
import type { TestSign } from "./TestSign";

export type TestOffer = { words: string, balance: string, figures: Array<TestFigure>, signs: Array<TestSign>, readings: Array<string>, };

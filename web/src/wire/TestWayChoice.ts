import type { RegulatingVerdict } from "./RegulatingVerdict";
import type { TestWay } from "./TestWay";

export type TestWayChoice = { way: TestWay, words: string, is_asked: boolean, verdict: RegulatingVerdict | null, };

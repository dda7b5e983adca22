import type { RegulatingVerdict } from "./RegulatingVerdict";

export type TestReason = { verdict: RegulatingVerdict, words: string, };

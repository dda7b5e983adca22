export type TestOutcome = "passed" | "failed" | "not_decided";

import type { TestFields } from "./TestFields";

export type FinalTestChange = { version: number, fields: TestFields, };

import type { TestFields } from "./TestFields";
import type { TestKind } from "./TestKind";

export type NewFinalTest = { id?: string | null, kind: TestKind, fields: TestFields, };

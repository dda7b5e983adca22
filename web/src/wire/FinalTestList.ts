import type { FinalTest } from "./FinalTest";
import type { TestToDo } from "./TestToDo";

export type FinalTestList = { tests: Array<FinalTest>, to_do: Array<TestToDo>, balances: Array<string>, };

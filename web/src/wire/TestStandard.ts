export type TestStandard = "own" | "iso_22810" | "iso_6425" | "iso_764";

export type TestKind = "rate" | "running_time" | "automatic_winding" | "water" | "magnetism" | "hands_and_calendar" | "look" | "other";

export type TestWay = "air" | "water" | "immersion" | "crown_pressed" | "warmth" | "salt" | "condensation" | "worn" | "winder";

// The user's own words and rules, as the server speaks of them.

export interface OwnProblem {
  /** Which of the two texts: `words` or `rules`. */
  of?: string;
  line: number | null;
  words: string;
}

export interface OwnTrade {
  version: number;
  /** TOML. */
  words: string;
  rules: string;
  problems: OwnProblem[];
}

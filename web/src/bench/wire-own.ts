// The user's own words and rules, as the server speaks of them.

export interface TradeProblem {
  line: number;
  words: string;
}

export interface OwnTrade {
  version: number;
  /** TOML. */
  text: string;
  problems: TradeProblem[];
}

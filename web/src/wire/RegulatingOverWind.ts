export type RegulatingOverWind = { words: Array<string>, has_picture: boolean, };

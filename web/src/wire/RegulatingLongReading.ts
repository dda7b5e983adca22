export type RegulatingLongReading = { reading_id: string, words: string, };


export type TestSignField = { code: string, words: string, };

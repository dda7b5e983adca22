
export type TestField = { code: string, words: string, unit: string, usual: string, is_limit: boolean, is_measured: boolean, };

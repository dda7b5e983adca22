
export type TestSignChange = { code: string, seen?: boolean | null, };


export type TestSign = { code: string, seen: boolean, };

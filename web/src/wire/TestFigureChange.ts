
export type TestFigureChange = { code: string, value?: number | null, sd?: number | null, };

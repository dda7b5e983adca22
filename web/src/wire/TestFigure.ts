
export type TestFigure = { code: string, value: number, sd: number | null, };

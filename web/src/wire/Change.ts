export type { LogChange as Change } from '../bench/log-entries';

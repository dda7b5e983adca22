export type { WorkRef } from '../bench/log-entries';

// What the form asks of an entry, beside arbors and meshes, which have rows of their own.

import type { Kind } from './sheet-text';

export interface FieldKind {
  key: string;
  label: string;
  /** How it is entered. */
  as:
    | 'name'
    /** A number, or one with its uncertainty. */
    | 'size'
    /** A rate at a temperature: "8 = +4.0 ± 0.2". */
    | 'rate-at'
    | 'beats'
    /** A time of a turn. */
    | 'time'
    | 'arbor'
    | 'toothed'
    | 'barrel'
    | 'shows'
    | 'yes-or-no';
  hint?: string;
  /** Not asked for at first. */
  more?: true;
  /** Under which heading it stands, for one of the trade's sums. */
  group?: string;
}

const LEVER = 'Lever and escape wheel';
const SIGHT = 'Lift angle by sight';
const HEAT = 'Heat and cold';
const TRIAL = 'Hairspring on trial';

export const SHOWS = [
  { value: 'hours', words: 'hours (12)' },
  { value: 'minutes', words: 'minutes' },
  { value: 'seconds', words: 'seconds' },
  { value: '24-hours', words: 'hours (24)' },
];

export type Listed = Exclude<Kind, 'arbor' | 'mesh'>;

export const FIELDS: Record<Listed, FieldKind[]> = {
  balance: [
    { key: 'name', label: 'Name', as: 'name' },
    { key: 'escape', label: 'Escape wheel', as: 'toothed' },
    { key: 'beats-per-hour', label: 'Beats per hour', as: 'beats', hint: 'Nothing: from the hands.' },
    { key: 'beats-per-tooth', label: 'Beats per tooth', as: 'size', more: true, hint: 'Nothing: 2.' },
    { key: 'lift-angle-deg', label: 'Lift angle, °', as: 'size', more: true },
    { key: 'mass-mg', label: 'Mass, mg', as: 'size', more: true, hint: 'As a thin ring.' },
    { key: 'radius-mm', label: 'Radius, mm', as: 'size', more: true },
    { key: 'inertia-mg-cm2', label: 'Inertia, mg cm²', as: 'size', more: true },
    { key: 'stiffness-n-m-per-rad', label: 'Stiffness, N m/rad', as: 'size', more: true },
    { key: 'spring-height-mm', label: 'Hairspring height, mm', as: 'size', more: true },
    { key: 'spring-thickness-mm', label: 'Hairspring thickness, mm', as: 'size', more: true },
    { key: 'spring-length-mm', label: 'Hairspring length, mm', as: 'size', more: true },
    { key: 'youngs-modulus-gpa', label: "Young's modulus, GPa", as: 'size', more: true },
    { key: 'seen-amplitude-deg', label: 'Amplitude seen, °', as: 'size', group: SIGHT, hint: 'Half a turn: 180 ± 5.' },
    { key: 'unlocking-to-drop-ms', label: 'Unlocking to drop, ms', as: 'size', group: SIGHT },
    { key: 'lock-deg', label: 'Lock, ° of the fork', as: 'size', group: LEVER },
    { key: 'run-deg', label: 'Run to the banking, °', as: 'size', group: LEVER, hint: 'Nothing: none.' },
    { key: 'lift-on-tooth-deg', label: 'Lift on the tooth, °', as: 'size', group: LEVER },
    { key: 'lift-on-pallet-deg', label: 'Lift on the pallet, °', as: 'size', group: LEVER },
    { key: 'fork-ratio', label: 'Balance over fork', as: 'size', group: LEVER, hint: 'Ratio of their angles.' },
    { key: 'tooth-width-deg', label: 'Tooth, ° of the wheel', as: 'size', group: LEVER },
    { key: 'pallet-width-deg', label: 'Pallet, ° of the wheel', as: 'size', group: LEVER },
    { key: 'escape-diameter-mm', label: 'Wheel across, mm', as: 'size', group: LEVER },
    { key: 'over-three-teeth-mm', label: 'Over three teeth, mm', as: 'size', group: LEVER, hint: 'One and the two opposite.' },
    { key: 'rate-cold', label: 'Rate in the cold', as: 'rate-at', group: HEAT, hint: '°C = s/d: 8 = +4.0 ± 0.2.' },
    { key: 'rate-middle', label: 'Rate between', as: 'rate-at', group: HEAT },
    { key: 'rate-hot', label: 'Rate in the heat', as: 'rate-at', group: HEAT },
    { key: 'balance-expansion-ppm', label: 'Balance, ppm/°C', as: 'size', group: HEAT, hint: 'Compensating: below 0.' },
    { key: 'spring-expansion-ppm', label: 'Hairspring, ppm/°C', as: 'size', group: HEAT },
    { key: 'modulus-change-ppm', label: 'Modulus, ppm/°C', as: 'size', group: HEAT, hint: 'Steel: below 0.' },
    { key: 'trial-length-mm', label: 'Trial length, mm', as: 'size', group: TRIAL },
    { key: 'trial-beats', label: 'Beats counted', as: 'size', group: TRIAL, hint: 'Single swings.' },
    { key: 'trial-time-s', label: 'in so many s', as: 'size', group: TRIAL },
  ],
  hand: [
    { key: 'name', label: 'Name', as: 'name' },
    { key: 'on', label: 'On', as: 'arbor' },
    { key: 'shows', label: 'Shows', as: 'shows' },
    { key: 'turns-in', label: 'or turns in', as: 'time', more: true, hint: 'Such as 29.53d.' },
    { key: 'anticlockwise', label: 'Ought to turn anticlockwise', as: 'yes-or-no', more: true },
  ],
  barrel: [
    { key: 'name', label: 'Name', as: 'name' },
    { key: 'drum', label: 'Drum', as: 'arbor' },
    { key: 'turns', label: 'Turns', as: 'size', hint: 'Nothing: as its mainspring has it.' },
    { key: 'arbor', label: 'Arbor, where another barrel turns it', as: 'arbor', more: true },
  ],
  mainspring: [
    { key: 'barrel', label: 'Barrel', as: 'barrel' },
    { key: 'inner-diameter-mm', label: 'Barrel inside, mm', as: 'size' },
    { key: 'arbor-diameter-mm', label: 'Arbor, mm', as: 'size' },
    { key: 'thickness-mm', label: 'Thickness, mm', as: 'size', hint: 'Such as 0.10 ± 0.003.' },
    { key: 'length-mm', label: 'Length, mm', as: 'size', hint: 'Nothing: the best one.' },
    { key: 'height-mm', label: 'Height, mm', as: 'size' },
    { key: 'barrel-height-mm', label: 'Barrel height inside, mm', as: 'size', more: true },
    { key: 'coils-free', label: 'Coils lying free', as: 'size', more: true },
  ],
};

export const TITLES: Record<Kind, { one: string; many: string }> = {
  arbor: { one: 'arbor', many: 'Arbors' },
  mesh: { one: 'mesh', many: 'What drives what' },
  balance: { one: 'balance', many: 'Balances' },
  hand: { one: 'hand', many: 'Hands' },
  barrel: { one: 'barrel', many: 'Barrels' },
  mainspring: { one: 'mainspring', many: 'Mainsprings' },
};

/** The first name of a row that nobody has: "A", "B", or "arbor", "arbor 2". */
export function freshName(kind: Kind, taken: string[]): string {
  const letters = kind === 'balance' || kind === 'barrel';
  for (let n = 0; ; n++) {
    const name = letters && n < 26 ? String.fromCharCode(65 + n) : n === 0 ? kind : `${kind} ${n + 1}`;
    if (!taken.includes(name)) return name;
  }
}

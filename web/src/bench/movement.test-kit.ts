// An invented movement with two balances, half put together, for tests and for looking at pages.

import type { Movement } from '../wire/Movement';
import type { MovementScrews } from '../wire/MovementScrews';
import type { MovementStep } from '../wire/MovementStep';
import type { MovementWork } from '../wire/MovementWork';
import type { Trade } from '../wire/Trade';
import type { TradeKind } from '../wire/TradeKind';
import { screwsWords, SIDE_WORDS, stepName } from './step-words';
import type { Side } from '../wire/Side';
import type { ThreadHand } from '../wire/ThreadHand';

const id = (kind: string, n: number) =>
  `${kind}0000000-0000-4000-8000-${String(n).padStart(12, '0')}`;
export const JOB = id('a', 1);

const NO_ADVICE = { cautions: [], never_oil: [], left_handed: [], under_tension: false };
const HANDBOOK = 'An invented handbook, 1951, p. 12';

function kind(name: string, family: string, more: Partial<TradeKind> = {}): TradeKind {
  return {
    id: name.replaceAll(' ', '-'),
    name,
    words: [],
    family,
    definition: '',
    traits: [],
    advice: NO_ADVICE,
    before_taking_out: [],
    ...more,
  };
}

const letDown = {
  rule: 'let-down-before-fork-and-train',
  once: 'movement',
  words:
    'Let the mainspring down, all of it and in every barrel, and see that no wheel still pushes. A train set free under power spins and breaks pallet stones, teeth and pivots.',
  sources: [HANDBOOK],
};

export const TRADE: Trade = {
  kinds: [
    kind('hands', 'motion work'),
    kind('dial', 'dial', {
      traits: ['luminous'],
      advice: {
        ...NO_ADVICE,
        cautions: [
          {
            words:
              'Old luminous paint may be radium: do not scrape, sand or brush it. Bag the dial, and follow national rules.',
            sources: [HANDBOOK],
          },
        ],
      },
    }),
    kind('hour wheel', 'motion work', { words: ['twelve-hour wheel'] }),
    kind('cannon pinion', 'motion work', { words: ['friction pinion'] }),
    kind('balance complete', 'balance', {
      words: ['balance with spring', 'balance wheel'],
      traits: ['shock-setting', 'capped'],
      definition: 'The balance with its staff, roller and spring.',
    }),
    kind('balance cock', 'balance', { words: ['balance bridge'] }),
    kind('pallet fork', 'escapement', {
      words: ['lever', 'anchor'],
      traits: ['jewelled'],
      before_taking_out: [letDown],
      advice: {
        ...NO_ADVICE,
        never_oil: [
          { words: 'No oil on the pivots of the fork: it slows it down.', sources: [HANDBOOK] },
        ],
      },
    }),
    kind('pallet cock', 'escapement', { words: ['pallet bridge'], before_taking_out: [letDown] }),
    kind('escape wheel', 'escapement', { words: ['scape wheel'], traits: ['jewelled', 'capped'] }),
    kind('third wheel', 'going train', { traits: ['jewelled', 'look-alike'] }),
    kind('fourth wheel', 'going train', { words: ['seconds wheel'], traits: ['jewelled'] }),
    kind('centre wheel', 'going train', { words: ['second wheel'] }),
    kind('train bridge', 'frame', { before_taking_out: [letDown] }),
    kind('barrel bridge', 'frame', { before_taking_out: [letDown] }),
    kind('barrel', 'power', { words: ['mainspring barrel'], traits: ['slipping-spring'] }),
    kind('ratchet wheel', 'power', { traits: ['left-handed-screw'] }),
    kind('crown wheel', 'power', {
      traits: ['left-handed-screw'],
      advice: {
        ...NO_ADVICE,
        left_handed: ['Its screw is often left-handed: turn clockwise to loosen.'],
      },
    }),
    kind('click spring', 'power', {
      traits: ['under-tension', 'flies-off'],
      advice: {
        ...NO_ADVICE,
        under_tension: true,
        cautions: [
          {
            words: 'It jumps out of sight when it slips: hold it down with pegwood, wear eye protection.',
            sources: [HANDBOOK],
          },
        ],
      },
    }),
    kind('automatic bridge', 'automatic work'),
    kind('reverser', 'automatic work', { traits: ['way-up-matters', 'look-alike'] }),
  ],
  traits: [
    { id: 'jewelled', words: 'jewelled', definition: '' },
    { id: 'capped', words: 'capped with an endstone', definition: '' },
    { id: 'shock-setting', words: 'in a shock setting', definition: '' },
    { id: 'left-handed-screw', words: 'left-handed screw', definition: '' },
    { id: 'under-tension', words: 'under tension', definition: '' },
    { id: 'slipping-spring', words: 'slipping spring', definition: '' },
    { id: 'flies-off', words: 'flies off', definition: '' },
    { id: 'way-up-matters', words: 'way up matters', definition: '' },
    { id: 'look-alike', words: 'has a look-alike', definition: '' },
    { id: 'luminous', words: 'luminous paint', definition: '' },
  ],
  lubricants: [
    ['thin-oil', 'thin oil'],
    ['heavy-oil', 'heavy oil'],
    ['pallet-oil', 'pallet-stone oil'],
    ['braking-grease', 'braking grease'],
  ],
};

let screwSets = 0;
function screw(count: number, look: string, thread: ThreadHand = 'right', place = ''): MovementScrews {
  const set = { count, look, thread, place, length_mm: null };
  return { ...set, id: id('5', ++screwSets), to_place: count, words: screwsWords(set) };
}

function step(n: number, names: string[], side: Side, more: Partial<MovementStep> = {}): MovementStep {
  const parts = names.map((name, at) => {
    return {
      id: id('b', n * 10 + at),
      kind: name.replaceAll(' ', '-'),
      name,
      traits: [],
      condition: '',
      verdict: null,
      left_out: null,
    };
  });
  const minutes = String(n).padStart(2, '0');
  return {
    id: id('c', n),
    name: stepName(parts, more.groups ?? []),
    parts,
    side,
    side_words: SIDE_WORDS[side],
    groups: [],
    from_assembly: null,
    screws: [],
    way_up: '',
    rested_on: [],
    was_under: [],
    under_tension: false,
    compartment: String(n),
    photos: n % 3 === 0 ? [] : [id('f', n)],
    notes: [],
    entry: id('e', n),
    taken_out_at: `2026-05-04T09:${minutes}:00.000Z`,
    taken_out_by: 'phone',
    placed_at: null,
    placed_entry: null,
    goes_in: true,
    layer: 0,
    after: [],
    before: [],
    placing: { would_cover: [], missing: [] as string[] },
    advice: NO_ADVICE,
    ...more,
  };
}

const isIn = (n: number) => {
  return { placed_at: `2026-05-05T10:${n}:00.000Z`, placed_entry: id('d', n), placing: null };
};

export function work(rule: string, more: Partial<MovementWork>): MovementWork {
  return {
    work: { rule, on: { kind: 'part', part: id('b', 80) } },
    kind: 'oil',
    words: '',
    on: '',
    steps: [],
    detail: '',
    side: 'train',
    in_hand: false,
    status: 'open',
    said: null,
    said_entry: null,
    covered_by: null,
    unit: null,
    bottle: null,
    sources: [HANDBOOK],
    otherwise: [],
    ...more,
  };
}

export const oilThird = work('oil-third-lower', {
  words: 'Thin oil on the lower pivot of the third wheel.',
  on: 'third wheel A',
  detail: 'the cup about half full, its wall still bright',
  covered_by: 'train bridge A',
  steps: [id('c', 10)],
  bottle: { id: id('9', 1), words: 'thin oil, “bottle 3”', warning: 'Opened 2 years ago.' },
});
const checkFree = work('train-free', {
  kind: 'check',
  words: 'The train runs free: a puff of air turns it to the end without a stop.',
  on: 'group A',
  work: { rule: 'train-free', on: { kind: 'group', group: 'A' } },
  detail: 'it runs on and back a little at its end',
  covered_by: 'pallet fork A',
});
const endshake = work('endshake-fork', {
  kind: 'check',
  words: 'Endshake of the fork between its jewels.',
  on: 'pallet fork A',
  detail: 'Expected: 0.02 to 0.04\u00a0mm.',
  unit: 'mm',
  covered_by: 'balance complete A',
});
const epilame = work('epilame-stones', {
  kind: 'treatment',
  words: 'Epilame on the pallet stones; let it dry.',
  on: 'pallet fork A',
  in_hand: true,
  detail: 'dip the stones only',
  covered_by: 'pallet fork A',
  otherwise: ['Some leave the stones bare and oil the escape wheel (an invented letter, 1974).'],
});
const oilStones = work('oil-stones', {
  words: 'Pallet-stone oil on the exit stone.',
  on: 'pallet fork A',
  detail: 'three passes of five teeth',
  covered_by: 'balance complete A',
  bottle: { id: null, words: 'no bottle of pallet-stone oil', warning: null },
});

const steps: MovementStep[] = [
  step(1, ['hands'], 'dial', { layer: 3, under_tension: false }),
  step(2, ['dial'], 'dial', { layer: 2, screws: [screw(2, 'dial foot screws')] }),
  step(3, ['hour wheel', 'cannon pinion'], 'dial', { layer: 1, after: [] }),
  step(4, ['automatic bridge'], 'train', {
    layer: 6,
    screws: [screw(2, 'long, flat head'), screw(1, 'short, flat head', 'right', 'near the edge')],
  }),
  step(5, ['balance complete', 'balance cock'], 'train', {
    groups: ['A'],
    layer: 5,
    screws: [screw(1, 'tall head')],
    way_up: 'cock with its pins down',
  }),
  step(6, ['balance complete', 'balance cock'], 'train', { groups: ['B'], layer: 5, screws: [screw(1, 'tall head')] }),
  step(7, ['pallet fork', 'pallet cock'], 'train', { groups: ['A'], layer: 4, screws: [screw(1, 'small, blued')] }),
  step(8, ['train bridge'], 'train', {
    groups: ['A'],
    layer: 3,
    screws: [screw(2, 'long, flat head'), screw(1, 'three slots', 'left', 'at the centre')],
    way_up: 'jewels with the larger cups up',
    rested_on: [id('b', 100), id('b', 101)],
    placing: { would_cover: [oilThird], missing: [] },
    advice: {
      ...NO_ADVICE,
      left_handed: ['1 screw, three slots, at the centre: turn clockwise to loosen, counter-clockwise to tighten.'],
      cautions: [{ words: 'Lead every pivot into its jewel before the screws are tightened; the bridge must fall by itself.', sources: [HANDBOOK] }],
    },
    notes: ['One screw is a little shorter; it sat near the crown.'],
  }),
  step(9, ['pallet fork', 'pallet cock'], 'train', { groups: ['B'], layer: 4, ...isIn(31), screws: [screw(1, 'small, blued')] }),
  step(10, ['third wheel', 'escape wheel'], 'train', { groups: ['A'], layer: 2, ...isIn(20) }),
  step(11, ['train bridge'], 'train', { groups: ['B'], layer: 3, ...isIn(24), screws: [screw(3, 'long, flat head')] }),
  step(12, ['third wheel', 'escape wheel'], 'train', { groups: ['B'], layer: 2, ...isIn(18) }),
  step(13, ['crown wheel', 'ratchet wheel'], 'train', {
    layer: 2,
    ...isIn(16),
    screws: [screw(1, 'three slots', 'left', 'crown wheel'), screw(1, 'large', 'right', 'ratchet wheel')],
  }),
  step(14, ['barrel bridge'], 'train', { layer: 1, ...isIn(12), screws: [screw(3, 'long')] }),
  step(15, ['barrel', 'centre wheel'], 'train', { layer: 0, ...isIn(10) }),
];
const at = (n: number): MovementStep => {
  const found = steps[n - 1];
  if (!found) throw new Error(`no step ${n}`);
  return found;
};
const over = (low: number, high: number) => {
  at(low).before.push(at(high).id);
  at(high).after.push(at(low).id);
};
for (const [low, high] of [[3, 2], [2, 1], [15, 14], [14, 13], [14, 10], [14, 12], [10, 8], [12, 11], [8, 7], [11, 9], [7, 5], [9, 6], [5, 4], [6, 4]] as const) {
  over(low, high);
}

for (const one of steps) {
  if (one.placing) one.placing.missing = one.after.filter((id) => steps.some((step) => step.id === id && step.placed_at === null));
}

export const MOVEMENT: Movement = {
  job_id: JOB,
  last_entry: 44,
  steps,
  groups: ['A', 'B'],
  facing: 'train',
  progress: {
    parts_in: 11,
    parts_in_tray: 14,
    parts_left_out: 0,
    screws_in: 9,
    screws_in_tray: 11,
    screws_left_out: 0,
    open_work: 5,
    skipped_work: 1,
    complete: false,
  },
  plan: [
    { action: 'do', work: oilThird, why: 'Now, because the train bridge A will cover it.' },
    { action: 'place', step: at(8).id, why: 'The wheels under it are in.' },
    { action: 'do', work: checkFree, why: 'Now, because a fault costs less the less lies over it.' },
    { action: 'do', work: epilame, why: 'In hand, before it goes in.' },
    { action: 'place', step: at(7).id, why: 'The train under it runs free.' },
    { action: 'do', work: endshake, why: 'Now, because the balance will cover it.' },
    { action: 'do', work: oilStones, why: 'Now, because the balance will cover it.' },
    { action: 'place', step: at(5).id, why: 'The fork under it is in.' },
    { action: 'place', step: at(6).id, why: 'The fork under it is in.' },
    { action: 'place', step: at(4).id, why: 'Both balances are in.' },
    { action: 'turn', up: 'dial', words: 'Turn the movement over: dial side up.', why: 'Nothing is left to do on the train side.' },
    { action: 'place', step: at(3).id, why: 'It lies lowest on the dial side.' },
    { action: 'place', step: at(2).id, why: 'The motion work is in.' },
    { action: 'place', step: at(1).id, why: 'The dial is on.' },
  ],
  turnings: 1,
  missed: [
    work('grease-arbor', {
      words: 'Heavy oil on the arbor of the barrel.',
      on: 'barrel',
      status: 'missed',
      detail: 'a small drop on each bearing',
      covered_by: 'barrel bridge',
      work: { rule: 'grease-arbor', on: { kind: 'part', part: id('b', 150) } },
    }),
  ],
  settled: [
    work('oil-third-lower', {
      words: 'Thin oil on the lower pivot of the third wheel.',
      on: 'third wheel B',
      status: 'done',
      said: 'done, thin oil “bottle 3”',
      said_entry: id('d', 60),
      work: { rule: 'oil-third-lower', on: { kind: 'part', part: id('b', 120) } },
    }),
  ],
  loops: [],
  together: [],
  twins: [
    {
      one: 'A',
      other: 'B',
      pairs: 5,
      differences: [
        'The stones of the pallet fork B were oiled, those of the pallet fork A not yet.',
        'The train bridge A has a left-handed screw, the train bridge B has none.',
      ],
      placing_s: [240, 1260],
    },
  ],
  warnings: [],
};

export const LOOP: Movement['loops'][number] = {
  relations: [
    { first: at(8).id, then: at(7).id, words: 'The train bridge A goes in before the pallet fork A: it came out after it.' },
    { first: at(7).id, then: at(8).id, words: 'The pallet fork A goes in before the train bridge A: you said so.' },
  ],
  ways_out: [
    {
      words: 'Drop your own relation: the pallet fork A need not go in first.',
      change: { kind: 'relation_dropped', first: id('b', 70), then: id('b', 80), why: '' },
    },
  ],
};

// Movements to begin with: usual trains with the teeth of a textbook (80, 75, 70 and 15; pinions 10,
// 10 and 7: 18,000 beats an hour), to be counted over.

export interface Pattern {
  words: string;
  text: string;
}

const arbor = (name: string, carries: string) =>
  `[[arbor]]\nname = "${name}"\ncarries = { ${carries} }\n`;
const mesh = (driver: string, driven: string) => `[[mesh]]\nbetween = ["${driver}", "${driven}"]\n`;
const hand = (name: string, on: string, shows = name) =>
  `[[hand]]\nname = "${name}"\non = "${on}"\nshows = "${shows}"\n`;
const barrel = (name: string, drum: string) =>
  `[[barrel]]\nname = "${name}"\ndrum = "${drum}"\nturns = 6\n`;
const balance = (name: string, escape: string) =>
  `[[balance]]\nname = "${name}"\nescape = "${escape}"\nbeats-per-hour = 18000\n`;

const whole = (title: string, ...parts: string[]) => [`title = "${title}"\n`, ...parts].join('\n');

/** From barrel to escape wheel. `of` stands before each name. */
function train(of: string, centre = '', third = ''): string[] {
  return [
    arbor(`${of}barrel`, 'wheel = 78'),
    arbor(`${of}centre`, `pinion = 12, wheel = 80${centre}`),
    arbor(`${of}third`, `pinion = 10, wheel = 75${third}`),
    arbor(`${of}fourth`, 'pinion = 10, wheel = 70'),
    arbor(`${of}escape`, 'pinion = 7, wheel = 15'),
    mesh(`${of}barrel wheel`, `${of}centre pinion`),
    mesh(`${of}centre wheel`, `${of}third pinion`),
    mesh(`${of}third wheel`, `${of}fourth pinion`),
    mesh(`${of}fourth wheel`, `${of}escape pinion`),
  ];
}

/** From a cannon pinion to the hour wheel. */
const motionWork = (cannon: string) => [
  arbor('minute wheel', 'wheel = 48, pinion = 12'),
  arbor('hour wheel', 'wheel = 36'),
  mesh(cannon, 'minute wheel wheel'),
  mesh('minute wheel pinion', 'hour wheel wheel'),
];

export const PATTERNS: Pattern[] = [
  {
    words: 'Four wheels, small seconds',
    text: whole(
      'Four wheels, small seconds',
      ...train('', ', "cannon pinion" = 12'),
      ...motionWork('centre cannon pinion'),
      balance('A', 'escape wheel'),
      hand('minutes', 'centre'),
      hand('hours', 'hour wheel'),
      hand('seconds', 'fourth'),
      barrel('A', 'barrel'),
    ),
  },
  {
    // The fourth wheel stands in the centre; the third drives the cannon pinion.
    words: 'Four wheels, centre seconds',
    text: whole(
      'Four wheels, centre seconds',
      ...train('', '', ', "minute pinion" = 10'),
      arbor('cannon', 'wheel = 80, pinion = 12'),
      mesh('third minute pinion', 'cannon wheel'),
      ...motionWork('cannon pinion'),
      balance('A', 'escape wheel'),
      hand('minutes', 'cannon'),
      hand('hours', 'hour wheel'),
      hand('seconds', 'fourth'),
      barrel('A', 'barrel'),
    ),
  },
  {
    words: 'Two trains, two balances',
    text: whole(
      'Two trains, two balances',
      ...train('left '),
      ...train('right ', ', "cannon pinion" = 12'),
      ...motionWork('right centre cannon pinion'),
      balance('A', 'left escape wheel'),
      balance('B', 'right escape wheel'),
      hand('seconds', 'left fourth'),
      hand('minutes', 'right centre'),
      hand('hours', 'hour wheel'),
      barrel('A', 'left barrel'),
      barrel('B', 'right barrel'),
    ),
  },
];

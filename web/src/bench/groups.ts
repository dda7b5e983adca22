// Groups are told apart by letter and line as well as by colour.

export interface GroupLook {
  letter: string;
  /** A name out of tokens.css. */
  colour: string;
  onColour: string;
  /** As `border-style`. */
  line: 'solid' | 'dashed' | 'dotted' | 'double';
  /** As `border-radius` of its badge. */
  round: string;
}

const LINES = ['solid', 'dashed', 'dotted', 'double'] as const;
const ROUNDS = ['0.4rem', '50%', '0.1rem', '50% 0'];
const COLOURS = 6;

export function groupLook(group: string, all: string[]): GroupLook {
  const at = Math.max(0, all.indexOf(group));
  const letters = all.map((name) => (name.trim()[0] ?? '?').toUpperCase());
  const own = letters[at] ?? (group.trim()[0] ?? '?').toUpperCase();
  const alone = letters.filter((letter) => letter === own).length <= 1;
  const number = (at % COLOURS) + 1;
  return {
    letter: alone ? own : String.fromCharCode(65 + (at % 26)),
    colour: `var(--balance-${number})`,
    onColour: `var(--on-balance-${number})`,
    line: LINES[at % LINES.length] ?? 'solid',
    round: ROUNDS[at % ROUNDS.length] ?? '0.4rem',
  };
}

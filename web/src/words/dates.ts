// Dates in words that nobody can take for the wrong month.

const DAY_MS = 86_400_000;

const date = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'short', year: 'numeric' });
const dateOfThisYear = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'short' });
const time = new Intl.DateTimeFormat('en-GB', { hour: '2-digit', minute: '2-digit' });

/** "2026-03-12" as midnight here, not in Greenwich. */
function midnight(day: string): Date {
  const [year = 0, month = 1, of = 1] = day.split('-').map(Number);
  return new Date(year, month - 1, of);
}

function daysBetween(from: Date, to: Date): number {
  const at = (d: Date) => Date.UTC(d.getFullYear(), d.getMonth(), d.getDate());
  return Math.round((at(to) - at(from)) / DAY_MS);
}

/** "12 Mar", with the year where it is another one. */
export function dayWords(day: string | Date, now = new Date()): string {
  const at = typeof day === 'string' ? midnight(day) : day;
  if (Number.isNaN(at.getTime())) return '';
  return (at.getFullYear() === now.getFullYear() ? dateOfThisYear : date).format(at);
}

/** "today, 14:02", "yesterday, 9:15", "12 Mar, 14:02" */
export function momentWords(moment: string, now = new Date()): string {
  const at = new Date(moment);
  if (Number.isNaN(at.getTime())) return '';
  const ago = daysBetween(at, now);
  const day = ago === 0 ? 'today' : ago === 1 ? 'yesterday' : dayWords(at, now);
  return `${day}, ${time.format(at)}`;
}

export type Urgency = 'late' | 'soon' | 'later';

/** When it is due, in words, and how that should look. */
export function dueWords(
  day: string | null,
  now = new Date(),
): { words: string; urgency: Urgency } | null {
  if (!day) return null;
  const left = daysBetween(now, midnight(day));
  if (Number.isNaN(left)) return null;
  if (left < 0) return { words: left === -1 ? '1 day late' : `${-left} days late`, urgency: 'late' };
  if (left === 0) return { words: 'due today', urgency: 'soon' };
  if (left === 1) return { words: 'due tomorrow', urgency: 'soon' };
  if (left <= 5) return { words: `due in ${left} days`, urgency: 'soon' };
  return { words: `due ${dayWords(day, now)}`, urgency: 'later' };
}

// The written form of a movement as the form of this page sees it. The text is the truth: the form
// changes single lines of it, and whatever else stands there (comments, order, what the form knows
// nothing of) stays as it is. Reading here is only for the form's sake; what is wrong in the text, the
// program says.

import { parsed, written, type Item } from './toml-value';

export const KINDS = ['arbor', 'mesh', 'balance', 'hand', 'barrel', 'mainspring'] as const;
export type Kind = (typeof KINDS)[number];

/** An entry such as `[[arbor]]` with its keys. */
export interface Entry {
  kind: Kind;
  /** Its head's line, counted from 0. */
  from: number;
  /** The line behind its last key. */
  to: number;
  keys: Map<string, { line: number; value: Item }>;
}

export interface Sheet {
  title: { line: number; value: string } | null;
  entries: Entry[];
}

/** Why the form cannot show the text: a line, counted from 1, and words. */
export interface Unshown {
  line: number;
  words: string;
}

const HEAD = /^\s*\[\[\s*([A-Za-z]+)\s*\]\]\s*(?:#.*)?$/;
const KEY = /^\s*(?:([A-Za-z0-9_-]+)|"([^"\\]*)")\s*=\s*(.*)$/;
const NOTHING = /^\s*(?:#.*)?$/;

export const linesOf = (text: string) => text.split('\n');

/** Reads what the form can show; or says which line it cannot. */
export function read(text: string): Sheet | Unshown {
  const sheet: Sheet = { title: null, entries: [] };
  let entry: Entry | undefined;
  for (const [n, whole] of linesOf(text).entries()) {
    const line = whole.replace(/\r$/, '');
    if (NOTHING.test(line)) continue;
    const head = HEAD.exec(line);
    if (head) {
      const kind = KINDS.find((kind) => kind === head[1]);
      if (!kind) return { line: n + 1, words: `The form knows no “${head[1]}”.` };
      entry = { kind, from: n, to: n + 1, keys: new Map() };
      sheet.entries.push(entry);
      continue;
    }
    const key = KEY.exec(line);
    const value = key ? parsed(key[3] ?? '') : undefined;
    const name = key?.[1] ?? key?.[2];
    if (value === undefined || name === undefined) {
      return { line: n + 1, words: 'This line is written in a way that the form cannot show.' };
    }
    if (entry) {
      entry.keys.set(name, { line: n, value });
      entry.to = n + 1;
    } else if (name === 'title' && typeof value === 'string') {
      sheet.title = { line: n, value };
    } else {
      return { line: n + 1, words: 'The form knows only a title above the first entry.' };
    }
  }
  return sheet;
}

export const isSheet = (found: Sheet | Unshown): found is Sheet => 'entries' in found;

export const entriesOf = (sheet: Sheet, kind: Kind) =>
  sheet.entries.filter((entry) => entry.kind === kind);

export function textOf(entry: Entry, key: string): string {
  const value = entry.keys.get(key)?.value;
  return typeof value === 'string' || typeof value === 'number' ? String(value) : '';
}

export const isSet = (entry: Entry, key: string) => entry.keys.get(key)?.value === true;

export interface Toothed {
  name: string;
  teeth: string;
}

/** Wheels and pinions of an arbor, in the order in which they are written. */
export function carried(arbor: Entry): Toothed[] {
  const value = arbor.keys.get('carries')?.value;
  if (typeof value !== 'object' || Array.isArray(value)) return [];
  return Object.entries(value).map(([name, teeth]) => ({
    name,
    teeth: typeof teeth === 'string' || typeof teeth === 'number' ? String(teeth) : '',
  }));
}

/** The two that a mesh joins. */
export function joined(mesh: Entry): [string, string] {
  const value = mesh.keys.get('between')?.value;
  const [one, other] = Array.isArray(value) ? value : [];
  return [typeof one === 'string' ? one : '', typeof other === 'string' ? other : ''];
}

/** Every wheel and pinion by its full name: that of its arbor and its own. */
export const allToothed = (sheet: Sheet): string[] =>
  entriesOf(sheet, 'arbor').flatMap((arbor) =>
    carried(arbor).map(({ name }) => `${textOf(arbor, 'name')} ${name}`),
  );

/** A name as it may stand for a wheel: where an arbor carries one, the arbor's will do. */
export function fullName(sheet: Sheet, name: string): string {
  const arbor = entriesOf(sheet, 'arbor').find((arbor) => textOf(arbor, 'name') === name);
  const [only, ...more] = arbor ? carried(arbor) : [];
  return only && more.length === 0 ? `${name} ${only.name}` : name;
}

/** The text with another value of one key; `undefined` takes the key out. */
export function withKey(text: string, entry: Entry, key: string, value: Item | undefined): string {
  const lines = linesOf(text);
  const present = entry.keys.get(key);
  const line = value === undefined ? [] : [`${key} = ${written(value)}`];
  if (present) {
    // What stands behind the value as a remark stays.
    const remark = remarkOf(lines[present.line] ?? '');
    lines.splice(present.line, 1, ...line.map((one) => one + remark));
  } else lines.splice(entry.to, 0, ...line);
  return lines.join('\n');
}

function remarkOf(line: string): string {
  const value = KEY.exec(line.replace(/\r$/, ''))?.[3] ?? '';
  for (let at = value.indexOf('#'); at >= 0; at = value.indexOf('#', at + 1)) {
    if (parsed(value.slice(0, at)) !== undefined) return ` ${value.slice(at)}`;
  }
  return '';
}

export function withTitle(text: string, sheet: Sheet, title: string): string {
  const lines = linesOf(text);
  const line = title === '' ? [] : [`title = ${written(title)}`];
  if (sheet.title) lines.splice(sheet.title.line, 1, ...line);
  else lines.splice(0, 0, ...line, ...(line.length > 0 && text !== '' ? [''] : []));
  return lines.join('\n');
}

/** The text with one more entry, behind the last of its kind. */
export function withEntry(
  text: string,
  sheet: Sheet,
  kind: Kind,
  keys: Record<string, Item>,
): string {
  const lines = linesOf(text.replace(/\n+$/, ''));
  const block = [`[[${kind}]]`, ...Object.entries(keys).map(([k, v]) => `${k} = ${written(v)}`)];
  const last = entriesOf(sheet, kind).at(-1);
  if (text.trim() === '') return `${block.join('\n')}\n`;
  if (last) lines.splice(last.to, 0, '', ...block);
  else lines.push('', ...block);
  return `${lines.join('\n')}\n`;
}

/** The text without an entry; remarks behind it stay. */
export function withoutEntry(text: string, entry: Entry): string {
  const lines = linesOf(text);
  const blank = lines[entry.from - 1]?.trim() === '' ? 1 : 0;
  const inside = lines.slice(entry.from, entry.to).filter((line) => /^\s*#/.test(line));
  lines.splice(entry.from - blank, entry.to - entry.from + blank, ...inside);
  return lines.join('\n');
}

/** The text in which whatever names something by its old name names it by its new one. */
function renamed(text: string, change: (name: string, entry: Entry, key: string) => string): string {
  const sheet = read(text);
  if (!isSheet(sheet)) return text;
  const NAMING = ['between', 'escape', 'on', 'drum', 'arbor', 'barrel'];
  return sheet.entries.reduce((now, entry) => {
    return NAMING.reduce((now, key) => {
      const value = entry.keys.get(key)?.value;
      const next = Array.isArray(value)
        ? value.map((one) => (typeof one === 'string' ? change(one, entry, key) : one))
        : typeof value === 'string'
          ? change(value, entry, key)
          : value;
      return JSON.stringify(next) === JSON.stringify(value) ? now : withKey(now, entry, key, next);
    }, now);
  }, text);
}

/** Another name for an entry, and with it wherever it is named. */
export function withName(text: string, sheet: Sheet, entry: Entry, name: string): string {
  const old = textOf(entry, 'name');
  const now = withKey(text, entry, 'name', name);
  // Two of one name while somebody types: nothing can tell which is meant.
  const alone = entriesOf(sheet, entry.kind).filter((one) => textOf(one, 'name') === old);
  if (old === '' || alone.length > 1) return now;
  if (entry.kind === 'barrel') {
    return renamed(now, (named, _, key) => (key === 'barrel' && named === old ? name : named));
  }
  if (entry.kind !== 'arbor') return now;
  const wheels = new Set(carried(entry).map((one) => `${old} ${one.name}`));
  return renamed(now, (named, _, key) => {
    if (key === 'barrel') return named;
    if (named === old) return name;
    return wheels.has(named) ? name + named.slice(old.length) : named;
  });
}

/** Other wheels and pinions of an arbor; where only a name has changed, wherever it is named. */
export function withCarried(text: string, arbor: Entry, toothed: Toothed[]): string {
  const before = carried(arbor);
  const table = Object.fromEntries(toothed.map(({ name, teeth }) => [name, teethIn(teeth)]));
  const now = withKey(text, arbor, 'carries', table);
  const changed = before.flatMap((one, n) => {
    const next = toothed[n];
    return before.length === toothed.length && next && next.name !== one.name
      ? [[one.name, next.name] as const]
      : [];
  });
  const [only] = changed;
  if (!only || changed.length > 1) return now;
  const of = textOf(arbor, 'name');
  return renamed(now, (named) => (named === `${of} ${only[0]}` ? `${of} ${only[1]}` : named));
}

/** A number where it is one; else as it stands, so that "?" and "60-90" and what is half typed stay. */
export function teethIn(text: string): Item {
  return /^\d{1,6}$/.test(text.trim()) ? Number(text) : text;
}

/** As `teethIn`, with decimals: "0.10" is a number, "0.10 ± 0.003" a text. */
export function numberOrText(text: string): Item | undefined {
  const bare = text.trim().replace(',', '.');
  if (bare === '') return undefined;
  return /^-?\d{1,12}(\.\d{1,12})?$/.test(bare) ? Number(bare) : text.trim();
}

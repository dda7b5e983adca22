import { expect, test } from 'vitest';
import {
  allToothed,
  carried,
  entriesOf,
  fullName,
  isSheet,
  joined,
  numberOrText,
  read,
  textOf,
  withCarried,
  withEntry,
  withKey,
  withName,
  withoutEntry,
  withTitle,
  type Sheet,
} from './sheet-text';
import { PATTERNS } from './patterns';

const TEXT = `# counted twice
title = "Mine"

[[arbor]]
name = "centre" # under the bridge
carries = { pinion = 10, wheel = 80, "cannon pinion" = 12 }

[[arbor]]
name = "third"
carries = { pinion = "?" }

# the train
[[mesh]]
between = ["centre wheel", "third"]

[[balance]]
name = "A"
escape = "third pinion"
beats-per-hour = 18_000

[[hand]]
name = "minute"
on = "centre"
shows = "minutes"
`;

function sheetOf(text: string): Sheet {
  const sheet = read(text);
  if (!isSheet(sheet)) throw new Error(`line ${sheet.line}: ${sheet.words}`);
  return sheet;
}
const first = (text: string, kind: 'arbor' | 'mesh' | 'balance' | 'hand') => {
  const [entry] = entriesOf(sheetOf(text), kind);
  if (!entry) throw new Error(`no ${kind}`);
  return entry;
};

test('the form reads what is written', () => {
  const sheet = sheetOf(TEXT);
  expect(sheet.title?.value).toBe('Mine');
  expect(carried(first(TEXT, 'arbor'))).toEqual([
    { name: 'pinion', teeth: '10' },
    { name: 'wheel', teeth: '80' },
    { name: 'cannon pinion', teeth: '12' },
  ]);
  expect(joined(first(TEXT, 'mesh'))).toEqual(['centre wheel', 'third']);
  expect(textOf(first(TEXT, 'balance'), 'beats-per-hour')).toBe('18000');
  expect(allToothed(sheet)).toEqual([
    'centre pinion',
    'centre wheel',
    'centre cannon pinion',
    'third pinion',
  ]);
  expect(fullName(sheet, 'third')).toBe('third pinion');
  expect(fullName(sheet, 'centre')).toBe('centre');
});

test('a change touches its own line alone, and remarks stay', () => {
  const changed = withKey(TEXT, first(TEXT, 'balance'), 'beats-per-hour', 21600);
  expect(changed).toBe(TEXT.replace('18_000', '21600'));
  const wider = withCarried(TEXT, first(TEXT, 'arbor'), [{ name: 'wheel', teeth: '60-90' }]);
  expect(wider).toContain('carries = { wheel = "60-90" }\n');
  expect(wider).toContain('# the train');
  const lift = withKey(TEXT, first(TEXT, 'balance'), 'lift-angle-deg', 52);
  expect(lift).toContain('beats-per-hour = 18_000\nlift-angle-deg = 52\n\n[[hand]]');
  expect(withKey(lift, first(lift, 'balance'), 'lift-angle-deg', undefined)).toBe(TEXT);
  expect(withTitle(TEXT, sheetOf(TEXT), 'Yours')).toBe(TEXT.replace('Mine', 'Yours'));
  expect(withTitle('[[arbor]]\n', sheetOf('[[arbor]]\n'), 'T')).toBe('title = "T"\n\n[[arbor]]\n');
});

test('what names an arbor follows its name', () => {
  const named = withName(TEXT, sheetOf(TEXT), first(TEXT, 'arbor'), 'great');
  expect(named).toContain('name = "great" # under the bridge');
  expect(named).toContain('between = ["great wheel", "third"]');
  expect(named).toContain('on = "great"');
  expect(named).toContain('escape = "third pinion"');
  const [one, ...rest] = carried(first(TEXT, 'arbor'));
  if (!one) throw new Error('it carries nothing');
  const wheel = withCarried(TEXT, first(TEXT, 'arbor'), [one, ...rest.map((toothed) =>
    toothed.name === 'wheel' ? { ...toothed, name: 'big wheel' } : toothed,
  )]);
  expect(wheel).toContain('between = ["centre big wheel", "third"]');
});

test('entries come and go, and nothing else does', () => {
  const more = withEntry(TEXT, sheetOf(TEXT), 'hand', { name: 'hour', on: 'third' });
  expect(more).toBe(`${TEXT}\n[[hand]]\nname = "hour"\non = "third"\n`);
  const [, second] = entriesOf(sheetOf(more), 'hand');
  if (!second) throw new Error('no second hand');
  expect(withoutEntry(more, second)).toBe(TEXT);
  const arbor = withEntry(TEXT, sheetOf(TEXT), 'arbor', { name: 'x', carries: {} });
  expect(arbor).toContain('carries = { pinion = "?" }\n\n[[arbor]]\nname = "x"\ncarries = {}\n\n# the');
  expect(withEntry('', sheetOf(''), 'arbor', { name: 'x' })).toBe('[[arbor]]\nname = "x"\n');
});

test('what the form cannot show it says, and does not touch', () => {
  for (const [text, line] of [
    ['[[wheel]]\n', 1],
    ['[[arbor]]\nname = """a"""\n', 2],
    ['[[arbor]]\ncarries = {\n  wheel = 5 }\n', 2],
    ['other = 5\n', 1],
    ['[[arbor]]\nname "a"', 2],
    ['[[arbor]]\nx = 2020-01-01', 2],
  ] as const) {
    const found = read(text);
    expect(isSheet(found) ? null : found.line, text).toBe(line);
  }
});

test('numbers are numbers, and all else stays as it was typed', () => {
  expect(numberOrText('0.10')).toBe(0.1);
  expect(numberOrText('0,1')).toBe(0.1);
  expect(numberOrText('0.10 ± 0.003')).toBe('0.10 ± 0.003');
  expect(numberOrText('7.6e-7')).toBe('7.6e-7');
  expect(numberOrText(' ')).toBeUndefined();
});

test('every pattern can be shown as a form', () => {
  for (const { words, text } of PATTERNS) {
    const sheet = sheetOf(text);
    expect(sheet.title?.value).toBe(words);
    const names = allToothed(sheet);
    for (const mesh of entriesOf(sheet, 'mesh')) {
      for (const name of joined(mesh)) expect(names, words).toContain(name);
    }
  }
});

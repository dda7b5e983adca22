// The guide's command lines, one chapter after the other: those in blocks marked `sh,run` are run in an
// empty folder, in their order, and print what the guide says they print; of all others the command and its options
// are ones that `endshake --help` knows.

import { expect, test } from '@playwright/test';
import { execFile } from 'node:child_process';
import { mkdir, mkdtemp, readFile, rm, symlink } from 'node:fs/promises';
import { readdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { BINARY } from './program.ts';

const GUIDE = path.resolve(import.meta.dirname, '../docs/guide/src');

interface Block {
  line: number;
  language: string;
  text: string;
}

function blocksOf(chapter: string): Block[] {
  const blocks: Block[] = [];
  let open: Block | null = null;
  for (const [at, line] of chapter.split('\n').entries()) {
    const fence = /^```(.*)$/.exec(line);
    if (fence && open) open = null;
    else if (fence) blocks.push((open = { line: at + 1, language: fence[1]!, text: '' }));
    else if (open) open.text += `${line}\n`;
  }
  return blocks;
}

interface Ran {
  status: number;
  out: string;
  said: string;
}

/** A shell that finds the program under its name and nothing of whoever runs the tests. */
const run = (folder: string, script: string): Promise<Ran> =>
  new Promise((resolve) => {
    const env = { PATH: `${folder}/.bin:/usr/bin:/bin`, HOME: folder, NO_COLOR: '1', COLUMNS: '80' };
    execFile('sh', ['-ec', script], { cwd: folder, env, timeout: 120_000 }, (cause, out, said) =>
      resolve({ status: cause ? Number(cause.code ?? 1) : 0, out, said }),
    );
  });

/** Opens the bench of whoever has this home, and closes it. */
async function openOnce(folder: string) {
  const script = `endshake serve --port 0 --network-port 0 > said & n=0
    until grep -q 'open at' said || [ $n -gt 300 ]; do n=$((n + 1)); sleep 0.1; done; kill $!; wait $! || true; rm said`;
  expect((await run(folder, script)).status, 'a bench can be opened').toBe(0);
}

async function withProgram<T>(work: (folder: string) => Promise<T>): Promise<T> {
  const folder = await mkdtemp(path.join(tmpdir(), 'endshake-guide-'));
  try {
    await mkdir(path.join(folder, '.bin'));
    await symlink(BINARY, path.join(folder, '.bin/endshake'));
    return await work(folder);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/** As an expression that holds for what is printed; a line of `…` stands for any number of lines. */
const printed = (shown: string) =>
  new RegExp(
    `^${shown
      .split('\n')
      .map((line) => (line.trim() === '…' ? '(?:.*\\n)*?' : `${line.trimEnd().replace(/[.*+?^${}()|[\]\\]/g, '\\$&')}[ \\t]*\\n`))
      .join('')
      .replace(/\[ \\t\]\*\\n$/, '')}\\s*$`,
  );

/** Each `endshake ...` in a script, up to where a shell ends a command. */
const callsIn = (script: string): string[][] =>
  [...script.replaceAll('\\\n', ' ').matchAll(/(?:^|[|;&]|&&)\s*endshake\b([^|;&\n#>]*)/gm)].map(([, rest = '']) =>
    rest.trim().split(/\s+/).filter((word) => word !== ''),
  );

async function isKnown(folder: string, words: string[], where: string) {
  const [command, second] = words.filter((word) => !word.startsWith('-'));
  let inner = command === undefined ? '' : ` ${command}`;
  let help = await run(folder, `endshake${inner} --help`);
  expect(help.status, `${where}: endshake${inner} --help`).toBe(0);
  // A command that has commands of its own.
  if (command && second && /^Commands:$/m.test(help.out)) {
    inner += ` ${second}`;
    help = await run(folder, `endshake${inner} --help`);
    expect(help.status, `${where}: endshake${inner} --help`).toBe(0);
  }
  for (const word of words.filter((word) => /^--?[a-z]/.test(word))) {
    const option = word.split('=')[0]!;
    expect(help.out.split(/[\s,=]+/), `${where}: endshake${inner} ${option}`).toContain(option);
  }
}

const chapters = readdirSync(GUIDE).filter((file) => file.endsWith('.md') && file !== 'SUMMARY.md');

for (const file of chapters) {
  test(`commands of ${file}`, async () => {
    const chapter = await readFile(path.join(GUIDE, file), 'utf8');
    await withProgram(async (folder) => {
      // A copy is made of a bench that was opened once.
      if (chapter.includes('endshake backup')) await openOnce(folder);
      const blocks = blocksOf(chapter);
      for (const [at, { language, line, text }] of blocks.entries()) {
        const where = `${file}:${line}`;
        if (!/^sh(,run)?$/.test(language)) continue;
        for (const call of callsIn(text)) await isKnown(folder, call, where);
        if (language !== 'sh,run') continue;
        const { status, out, said } = await run(folder, text);
        expect(status, `${where}: ${text}${said}`).toBe(0);
        const shown = blocks[at + 1];
        if (shown?.language === 'text') expect(out, `${file}:${shown.line}`).toMatch(printed(shown.text));
      }
      const inLine = [...chapter.replace(/^```[^]*?^```$/gm, '').matchAll(/`(endshake[^`]*)`/g)];
      for (const [, code = ''] of inLine) {
        for (const call of callsIn(code)) await isKnown(folder, call, `${file}: ${code}`);
      }
    });
  });
}

test('the guide has commands that are run', async () => {
  const all = await Promise.all(chapters.map((file) => readFile(path.join(GUIDE, file), 'utf8')));
  expect(all.flatMap(blocksOf).filter(({ language }) => language === 'sh,run').length).toBeGreaterThan(3);
});

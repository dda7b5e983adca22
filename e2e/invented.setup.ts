// The invented workshop, made once for all tests that begin with a copy of it: hearing its sounds takes
// longer than most of them.

import { execFile } from 'node:child_process';
import { readdir, rm } from 'node:fs/promises';
import path from 'node:path';
import { promisify } from 'node:util';
import { expect, test as setup } from '@playwright/test';
import { BINARY, INVENTED, start } from './program.ts';

setup('the invented workshop is made', async () => {
  await rm(INVENTED, { recursive: true, force: true });
  const program = await start('demo');
  try {
    const made = (await readdir(program.folder)).filter((name) => name.startsWith('endshake-demo-'));
    expect(made, 'folders of invented workshops').toHaveLength(1);
    const data = path.join(program.folder, made[0] ?? '');
    await promisify(execFile)(BINARY, ['backup', '--data', data, INVENTED]);
  } finally {
    await program.stop();
  }
});

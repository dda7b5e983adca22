// The real program, started for a test in a folder of its own, and ended after it.

import { spawn, type ChildProcess } from 'node:child_process';
import { cp, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';

export const BINARY = path.resolve(
  process.env.ENDSHAKE ?? path.join(import.meta.dirname, '../target/debug/endshake'),
);

/** How long a program may take to say where it serves: the invented workshop hears its sounds first. */
const START_MS = 200_000;

/** A backup of the invented workshop, which a project of the tests makes before those that begin with it. */
export const INVENTED = path.join(tmpdir(), 'endshake-e2e-invented');

export interface Program {
  /** Such as `http://127.0.0.1:40123`, without a slash at its end. */
  address: string;
  /** All that it writes, what is temporary too. */
  folder: string;
  stop(): Promise<void>;
}

/** Where it serves, from what it prints. */
function addressFrom(child: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    let said = '';
    const timer = setTimeout(
      () => reject(new Error(`no address within ${START_MS} ms; it said:\n${said}`)),
      START_MS,
    );
    const hear = (chunk: Buffer) => {
      said += chunk.toString();
      const [found] = /https?:\/\/(127\.0\.0\.1|localhost):\d+/.exec(said) ?? [];
      if (!found) return;
      clearTimeout(timer);
      resolve(found);
    };
    child.stdout?.on('data', hear);
    child.stderr?.on('data', hear);
    child.once('exit', (code) => {
      clearTimeout(timer);
      reject(new Error(`it ended at once with ${code}; it said:\n${said}`));
    });
    child.once('error', (cause) => {
      clearTimeout(timer);
      reject(cause);
    });
  });
}

/**
 * Starts `endshake serve` on an empty workshop or on a copy of the invented one, or `endshake demo`, which
 * makes the invented one anew and has simulated watches to listen to.
 */
export async function start(workshop: 'empty' | 'invented' | 'demo'): Promise<Program> {
  const folder = await mkdtemp(path.join(tmpdir(), 'endshake-e2e-'));
  const data = path.join(folder, 'data');
  if (workshop === 'invented') await cp(INVENTED, data, { recursive: true });
  const command = workshop === 'demo' ? ['demo'] : ['serve', '--data', data];
  const child = spawn(BINARY, [...command, '--port', '0', '--network-port', '0'], {
    cwd: folder,
    env: { ...process.env, HOME: folder, XDG_DATA_HOME: path.join(folder, 'xdg'), TMPDIR: folder, NO_COLOR: '1' },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const gone = new Promise<void>((resolve) => child.once('exit', () => resolve()));
  const stop = async () => {
    child.kill('SIGTERM');
    await gone;
    await rm(folder, { recursive: true, force: true });
  };
  try {
    return { address: await addressFrom(child), folder, stop };
  } catch (cause) {
    child.kill('SIGKILL');
    await rm(folder, { recursive: true, force: true });
    throw cause;
  }
}

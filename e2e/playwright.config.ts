import { defineConfig, devices } from '@playwright/test';
import { WATCH_WAV } from './watch-sound.ts';

// Debian's Chromium, with a simulated watch for its microphone. `%noloop`: one pass of the file is
// longer than any test, and a second pass would be a jump in the beats.
const launchOptions = {
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: [
    '--use-fake-ui-for-media-stream',
    '--use-fake-device-for-media-stream',
    `--use-file-for-fake-audio-capture=${WATCH_WAV}%noloop`,
    '--disable-gpu',
    '--disable-quic',
    '--no-first-run',
    '--disable-background-networking',
    '--disable-component-update',
    '--disable-sync',
    // Chromium's sandbox refuses root.
    ...(process.getuid?.() === 0 ? ['--no-sandbox'] : []),
  ],
};

// What is about the program more than the page is not done again on a phone.
const ONCE = /(fill-sheet|fill-key|two-trains|whole-rebuild|whole-road|guide-commands|guide-pictures)\.test\.ts$/;

// Listens in real time: nothing that works a processor may run beside it, or sound comes late. Such tests
// are projects of their own, to be run by themselves (`npm run listening`).
const LISTENS = /@listens/;

const DESK = { viewport: { width: 1280, height: 800 } };
const PHONE = { ...devices['Pixel 7'], viewport: { width: 390, height: 844 }, launchOptions };

export default defineConfig({
  testDir: '.',
  globalSetup: './watch-sound.ts',
  // As many as the smallest machine has processors. What listens hardly works: three of them go side by side.
  workers: 2,
  timeout: 240_000,
  expect: { timeout: 15_000 },
  reporter: [['list']],
  outputDir: 'test-results',
  // Pictures that are compared are those of the guide and of a report; none is ever written unasked.
  snapshotPathTemplate: '{testDir}/../{arg}{ext}',
  updateSnapshots: 'none',
  use: {
    launchOptions,
    permissions: ['microphone'],
    // A trace takes longer than the pages it records: TRACE=1 asks for one. What the page was at a
    // failure is written without it.
    trace: process.env.TRACE ? 'retain-on-failure' : 'off',
  },
  projects: [
    { name: 'invented', testMatch: /invented\.setup\.ts$/ },
    { name: 'desk', dependencies: ['invented'], grepInvert: LISTENS, use: DESK },
    { name: 'phone', dependencies: ['invented'], grepInvert: LISTENS, testIgnore: ONCE, use: PHONE },
    { name: 'listening-desk', grep: LISTENS, use: DESK },
    { name: 'listening-phone', grep: LISTENS, testIgnore: ONCE, use: PHONE },
  ],
});

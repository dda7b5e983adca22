// The movement of a watch: two trains entered from tooth counts in the form, to which hand hangs on which
// balance and how wrong it goes; kept, and still there.

import { expect, test, type Page } from '@playwright/test';
import { looksRight } from './look.ts';
import { addArbor, addBalance, addHand, drives, handOf } from './movement-form.ts';
import { start, type Program } from './program.ts';

let program: Program;
test.beforeAll(async () => {
  program = await start('empty');
});
test.afterAll(async () => {
  await program?.stop();
});

async function newWatch(page: Page, description: string): Promise<string> {
  const answer = await page.request.post(`${program.address}/api/v1/watches`, {
    data: { description },
  });
  return (await answer.json()).id;
}

async function open(page: Page, watch: string) {
  await page.goto(`${program.address}/#/watches/${watch}/movement`);
  await expect(page.getByRole('heading', { level: 1, name: 'Movement' })).toBeVisible();
}

test('two trains from tooth counts to the hands of each balance', async ({ page }) => {
  const watch = await newWatch(page, 'Two balances, counted');
  await page.goto(`${program.address}/#/watches/${watch}`);
  await page.getByRole('link', { name: 'Movement' }).click();
  await expect(page.getByText('Nothing is written down of this movement yet')).toBeVisible();
  await looksRight(page, 'nothing written down yet', 'serious');

  // The train of the textbook (80, 75, 70 and 15; 10, 10 and 7: 18,000 beats an hour) from the centre;
  // beside it a short one whose fourth wheel has 72 teeth.
  await addArbor(page, 'centre', { wheel: 80 });
  await addArbor(page, 'third', { pinion: 10, wheel: 75 });
  await addArbor(page, 'fourth', { pinion: 10, wheel: 70 });
  await addArbor(page, 'escape', { pinion: 7, wheel: 15 });
  await drives(page, 'centre wheel', 'third pinion');
  await drives(page, 'third wheel', 'fourth pinion');
  await drives(page, 'fourth wheel', 'escape pinion');
  await addArbor(page, 'left fourth', { wheel: 72 });
  await addArbor(page, 'left escape', { pinion: 7, wheel: 15 });
  await drives(page, 'left fourth wheel', 'left escape pinion');
  await addBalance(page, 'A', 'escape wheel', '18,000');
  await addBalance(page, 'B', 'left escape wheel', '18,000');
  await addHand(page, 'minutes', 'centre', 'minutes');
  await addHand(page, 'seconds', 'left fourth', 'seconds');

  await expect(handOf(page, 'minutes')).toContainText(/hangs on\s*balance\s*A/);
  await expect(handOf(page, 'minutes')).toContainText('right');
  // Behind 72 teeth it turns 70/72 as fast: 2,400 s of 86,400 (division).
  await expect(handOf(page, 'seconds')).toContainText(/hangs on\s*balance\s*B/);
  await expect(handOf(page, 'seconds')).toContainText('loses 2400.0 s/d');
  // 10 s/d of 18,000 beats an hour are 2.0833 (86,400 to 10).
  await page.getByLabel('Balance A, beats per hour').fill('18,002.0833333');
  await expect(handOf(page, 'minutes')).toContainText('as measured: gains 10.0 s/d');
  await expect(page.getByRole('img', { name: /6 arbors/ })).toBeVisible();
  await looksRight(page, 'a form filled in', 'serious');

  await expect
    .poll(async () => (await (await page.request.get(`${program.address}/api/v1/watches/${watch}`)).json()).movement)
    .toContain('on = "left fourth"');
  await page.reload();
  await expect(handOf(page, 'seconds')).toContainText('loses 2400.0 s/d');
  await expect(page.getByLabel('Teeth of left fourth wheel', { exact: true })).toHaveValue('72');

  // A count put right, in the text.
  await page.getByRole('tab', { name: 'Text' }).click();
  const sheet = page.getByLabel('The movement, as TOML');
  const written = await sheet.inputValue();
  await sheet.fill(written.replace('wheel = 72', 'wheel = 70').replace('on = "centre"', 'on = "center"'));
  await expect(page.getByRole('button', { name: /Line \d+: There is no arbor “center”/ })).toBeVisible();
  await sheet.fill(written.replace('wheel = 72', 'wheel = 70'));
  await expect(handOf(page, 'seconds')).toContainText('right');
});

test('every pattern is right, and a lost wheel is found', async ({ page }) => {
  for (const name of ['Four wheels, small seconds', 'Four wheels, centre seconds', 'Two trains, two balances']) {
    await open(page, await newWatch(page, name));
    await page.getByRole('button', { name }).click();
    const hands = page.getByRole('region', { name: 'Hands' }).last().getByRole('listitem');
    await expect(hands).toHaveCount(3);
    for (const hand of await hands.all()) await expect(hand).toContainText(/, right/);
    await expect(page.getByRole('heading', { name: 'To be mended' })).toHaveCount(0);
  }
  await page.getByLabel('Teeth of left fourth wheel', { exact: true }).fill('?');
  await expect(page.getByRole('region', { name: 'Lost wheels' })).toContainText(
    '70 teeth for the left fourth wheel',
  );
});

test('another spring in its place', async ({ page }) => {
  await open(page, await newWatch(page, 'A spring to be replaced'));
  await page.getByRole('button', { name: 'Four wheels, small seconds' }).click();
  await page.getByRole('button', { name: 'Add a mainspring' }).click();
  const spring = page.getByRole('group', { name: 'mainspring A' });
  // Of the students' answers: barrel 9 mm, arbor 3 mm, 0.10 mm thick want 282.7 mm.
  await spring.getByLabel('Barrel inside, mm').fill('9');
  await spring.getByLabel('Arbor, mm').fill('3');
  await spring.getByLabel('Thickness, mm').fill('0.10 ± 0.003');
  await spring.getByLabel('Height, mm').first().fill('1.5');
  const card = page.getByRole('region', { name: 'Mainspring A' });
  await expect(card).toContainText('Best length 283 mm');
  // A tenth thicker at one length: 1.1 cubed (by hand).
  await card.getByLabel('Thickness, mm').fill('0.11');
  await expect(card.getByRole('status')).toContainText('33.1 % more torque');
  await looksRight(page, 'another spring', 'serious');
});

test('the lift angle from the angles of the lever is written back', async ({ page }) => {
  const watch = await newWatch(page, 'A lever that was measured');
  await open(page, watch);
  await page.getByRole('button', { name: 'Four wheels, small seconds' }).click();
  const balance = page.getByRole('group', { name: 'balance A', exact: true });
  await balance.getByText('Lever and escape wheel').click();
  // Playtner's specification of 1910: 1 1/2, 1/4, 3 and 5 1/2 degrees make 28 of the balance by 28/10.25.
  await balance.getByLabel('Lock, ° of the fork').fill('1.5');
  await balance.getByLabel('Run to the banking, °').fill('0.25');
  await balance.getByLabel('Lift on the tooth, °').fill('3');
  await balance.getByLabel('Lift on the pallet, °').fill('5.5');
  await balance.getByLabel('Balance over fork').fill('2.7317073');
  const card = page.getByRole('region', { name: 'Lever, balance A' });
  await expect(card).toContainText('Banking to drop, fork 10.25°');
  await card.getByRole('button', { name: 'Write 28 down as the lift angle' }).click();
  await expect(card).toContainText('Written down as the lift angle.');
  await expect
    .poll(async () => (await (await page.request.get(`${program.address}/api/v1/watches/${watch}`)).json()).movement)
    .toContain('lift-angle-deg = 28');
  await looksRight(page, 'the lever', 'serious');

  // With 80 and 10 the centre distance is 9/8 of the wheel's pitch radius (Goodrich 1905, chapter XIV).
  await page.getByText('Depths: sizes of wheels and pinions').click();
  const depth = page.getByRole('group', { name: 'Depth of centre wheel and third pinion' });
  await depth.getByLabel('Centres apart, mm').fill('9');
  await expect(page.getByRole('region', { name: /^Depth: centre wheel/ })).toContainText(
    'Wheel, pitch radius 8 mm',
  );
});

import { chromium } from '@playwright/test';
const [base, J, R, R2] = process.argv.slice(2);
const b = await chromium.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox','--disable-gpu','--disable-quic','--no-first-run','--disable-background-networking','--disable-component-update','--disable-sync'] });
const pages = { jobs: '/#/jobs', job: `/#/jobs/${J}`, reading: `/#/readings/${R}`, compare: `/#/compare/${R2}/${R}`, settings: '/#/settings', watches: '/#/watches', newjob: '/#/jobs/new', search: '/#/search?q=ada' , bin: '/#/bin'};
for (const [name, size] of [['desk', { width: 1280, height: 800 }], ['phone', { width: 390, height: 844 }]]) {
  for (const scheme of ['light', 'dark']) {
    const c = await b.newContext({ viewport: size, colorScheme: scheme });
    const p = await c.newPage();
    p.on('console', m => { if (m.type() === 'error') console.log(name, scheme, m.text()); });
    p.on('pageerror', e => console.log('ERR', e.message));
    for (const [n, path] of Object.entries(pages)) {
      if (scheme === 'dark' && !['jobs','job','reading'].includes(n)) continue;
      await p.goto(base + path); await p.waitForTimeout(1500);
      await p.screenshot({ path: `/work/lab/shots/${n}-${name}-${scheme}.png`, fullPage: true });
    }
    // listen
    await p.goto(base + `/#/jobs/${J}/listen`); await p.waitForTimeout(1500);
    await p.screenshot({ path: `/work/lab/shots/listen0-${name}-${scheme}.png`, fullPage: true });
    await c.close();
  }
}
await b.close();

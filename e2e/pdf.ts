// A PDF as others read it: Poppler's pdftotext and pdftoppm.

import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';

/** Its words, with one space between them. */
export function wordsOf(pdf: Buffer): string {
  const text = execFileSync('pdftotext', ['-layout', '-', '-'], { input: pdf });
  return text.toString().split(/\s+/).join(' ');
}

/** Its pages as PNG, in grey. */
export function pagesOf(pdf: Buffer, dots_per_inch: number): Buffer[] {
  const folder = mkdtempSync(path.join(tmpdir(), 'endshake-e2e-pdf-'));
  try {
    const file = path.join(folder, 'paper.pdf');
    writeFileSync(file, pdf);
    execFileSync('pdftoppm', ['-png', '-gray', '-r', String(dots_per_inch), file, path.join(folder, 'page')]);
    const pages = readdirSync(folder).filter((name) => name.endsWith('.png')).sort();
    return pages.map((name) => readFileSync(path.join(folder, name)));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

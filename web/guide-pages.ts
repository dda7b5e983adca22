// The guide of docs/guide as pages of the page: each chapter becomes HTML while the page is built, so
// that it can be read without a network and nothing of Markdown is left to do in the browser. mdBook
// makes a book of the same files.

import { existsSync } from 'node:fs';
import path from 'node:path';
import { Marked, type Tokens } from 'marked';
import type { Plugin } from 'vite';
import type { Chapter } from './src/guide/chapter';

/** Where the chapters are. */
export const GUIDE = path.resolve(import.meta.dirname, '../docs/guide/src');

/** The anchor of a heading, as mdBook makes it: small letters, hyphens for spaces, the rest gone. */
export const anchor = (heading: string) =>
  heading
    .toLowerCase()
    .replace(/[^\p{L}\p{N} _-]/gu, '')
    .replaceAll(' ', '-');

/** The chapters in the order of SUMMARY.md, which is a list of links. */
export const chapters = (summary: string): Chapter[] =>
  [...summary.matchAll(/\[([^\]]+)\]\(([\w-]+)\.md\)/g)].map(([, title = '', name = '']) => ({ name, title }));

const escaped = (text: string) =>
  text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;');

/** The address within the page of a link between chapters; any other stays as it is. */
export function addressOf(href: string, chapter: string): string {
  const [file = '', place] = href.split('#');
  if (href.includes('://') || !(file === '' || file.endsWith('.md'))) return href;
  const name = file === '' ? chapter : file.slice(0, -'.md'.length);
  return `#/guide/${name}${place ? `/${place}` : ''}`;
}

/**
 * A chapter as HTML, and the pictures in it by the order in which they stand; for the address of the
 * nth, which only the build knows, stands `pictureMark(n)`.
 */
export function chapterHtml(markdown: string, chapter: string): { html: string; pictures: string[] } {
  const pictures: string[] = [];
  const marked = new Marked({
    renderer: {
      heading({ tokens, depth }: Tokens.Heading) {
        const inner = this.parser.parseInline(tokens);
        const id = anchor(this.parser.parseInline(tokens, this.parser.textRenderer));
        return `<h${depth} id="${id}">${inner}</h${depth}>\n`;
      },
      link({ href, tokens }: Tokens.Link) {
        return `<a href="${escaped(addressOf(href, chapter))}">${this.parser.parseInline(tokens)}</a>`;
      },
      image({ href, text }: Tokens.Image) {
        pictures.push(href);
        return `<img src="${pictureMark(pictures.length - 1)}" alt="${escaped(text)}" loading="lazy">`;
      },
      table(token: Tokens.Table) {
        // A wide table is moved to and fro by itself; the page stays as wide as the screen.
        const cells = (row: Tokens.TableCell[], tag: string) =>
          row.map((cell) => `<${tag}>${this.parser.parseInline(cell.tokens)}</${tag}>`).join('');
        const head = `<thead><tr>${cells(token.header, 'th')}</tr></thead>`;
        const body = token.rows.map((row) => `<tr>${cells(row, 'td')}</tr>`).join('');
        return `<div class="wide" role="group" tabindex="0" aria-label="Table"><table>${head}<tbody>${body}</tbody></table></div>\n`;
      },
      code({ text }: Tokens.Code) {
        return `<pre tabindex="0"><code>${escaped(text)}</code></pre>\n`;
      },
    },
  });
  return { html: marked.parse(markdown, { async: false }), pictures };
}

export const pictureMark = (n: number) => `%picture-${n}%`;

/** For Vite: a chapter that is imported is its HTML, SUMMARY.md the list of chapters. */
export function guidePages(): Plugin {
  return {
    name: 'guide-pages',
    enforce: 'pre',
    transform(text, id) {
      const file = id.split('?')[0] ?? '';
      if (!file.endsWith('.md') || path.dirname(file) !== GUIDE) return null;
      const name = path.basename(file, '.md');
      if (name === 'SUMMARY') return { code: `export default ${JSON.stringify(chapters(text))};`, map: null };
      const { html, pictures } = chapterHtml(text, name);
      const imports = pictures.map((picture, n) => {
        const file = path.join(GUIDE, picture);
        if (existsSync(file)) return `import p${n} from ${JSON.stringify(`${file}?url`)};\n`;
        // A new picture is taken from the built page, so this must be built without it: what it shows
        // stands in its words. `cargo xtask docs` lets no chapter through that lacks one.
        this.warn(`${picture} is not there yet: ./dev pictures takes it`);
        return `const p${n} = '';\n`;
      });
      const put = pictures.map((_, n) => `.replace(${JSON.stringify(pictureMark(n))}, p${n})`).join('');
      return { code: `${imports.join('')}export default ${JSON.stringify(html)}${put};`, map: null };
    },
  };
}

// Values of one line of TOML, read and written: texts, numbers, yes and no, lists and inline tables.
// What is written otherwise the form leaves to the text.

export type Item = string | number | boolean | Item[] | { [key: string]: Item };

/** The value of a line; `undefined` where it is none of those that the form can show. */
export function parsed(text: string): Item | undefined {
  const reader = new Reader(text);
  const value = reader.value();
  return value !== undefined && reader.atEnd() ? value : undefined;
}

/** A value as it stands in the text. */
export function written(value: Item): string {
  if (typeof value === 'string') return JSON.stringify(value);
  if (Array.isArray(value)) return `[${value.map(written).join(', ')}]`;
  if (typeof value === 'object') {
    const each = Object.entries(value).map(([key, item]) => `${keyWritten(key)} = ${written(item)}`);
    return each.length === 0 ? '{}' : `{ ${each.join(', ')} }`;
  }
  return String(value);
}

const keyWritten = (key: string) => (/^[A-Za-z0-9_-]+$/.test(key) ? key : JSON.stringify(key));

const NUMBER = /^[+-]?\d[\d_]*(?:\.[\d_]+)?(?:[eE][+-]?\d+)?/;
/** No value is so deep; a hostile text might be. */
const DEEPEST = 8;

class Reader {
  #at = 0;

  constructor(private readonly text: string) {}

  /** Only space and a remark are left. */
  atEnd(): boolean {
    return /^\s*(?:#.*)?$/.test(this.text.slice(this.#at));
  }

  value(depth = 0): Item | undefined {
    this.#space();
    if (depth > DEEPEST) return undefined;
    const sign = this.text[this.#at];
    if (sign === '"') return this.#basic();
    if (sign === "'") return this.#literal();
    if (sign === '[') return this.#list(depth);
    if (sign === '{') return this.#table(depth);
    for (const [word, value] of [['true', true], ['false', false]] as const) {
      if (this.#takes(word)) return value;
    }
    const number = NUMBER.exec(this.text.slice(this.#at))?.[0];
    if (number === undefined) return undefined;
    this.#at += number.length;
    // A date, or 0x10: nothing that this form has.
    if (/^[\w:-]/.test(this.text.slice(this.#at))) return undefined;
    return Number(number.replaceAll('_', ''));
  }

  #space() {
    while (this.text[this.#at] === ' ' || this.text[this.#at] === '\t') this.#at++;
  }

  #takes(word: string): boolean {
    if (!this.text.startsWith(word, this.#at)) return false;
    this.#at += word.length;
    return true;
  }

  #basic(): string | undefined {
    const found = /^"(?!"")(?:[^"\\]|\\.)*"/.exec(this.text.slice(this.#at))?.[0];
    if (found === undefined) return undefined;
    this.#at += found.length;
    try {
      return JSON.parse(found.replaceAll('\t', '\\t')) as string;
    } catch {
      return undefined;
    }
  }

  #literal(): string | undefined {
    const found = /^'(?!'')[^']*'/.exec(this.text.slice(this.#at))?.[0];
    if (found === undefined) return undefined;
    this.#at += found.length;
    return found.slice(1, -1);
  }

  #list(depth: number): Item[] | undefined {
    const items: Item[] = [];
    this.#at++;
    for (;;) {
      this.#space();
      if (this.#takes(']')) return items;
      const item = this.value(depth + 1);
      if (item === undefined) return undefined;
      items.push(item);
      this.#space();
      if (!this.#takes(',') && this.text[this.#at] !== ']') return undefined;
    }
  }

  #table(depth: number): { [key: string]: Item } | undefined {
    // Without a prototype, so that no name in it means anything else.
    const table = Object.create(null) as { [key: string]: Item };
    this.#at++;
    for (;;) {
      this.#space();
      if (this.#takes('}')) return table;
      const key = this.#key();
      this.#space();
      if (key === undefined || key in table || !this.#takes('=')) return undefined;
      const item = this.value(depth + 1);
      if (item === undefined) return undefined;
      table[key] = item;
      this.#space();
      if (!this.#takes(',') && this.text[this.#at] !== '}') return undefined;
    }
  }

  #key(): string | undefined {
    if (this.text[this.#at] === '"') return this.#basic();
    if (this.text[this.#at] === "'") return this.#literal();
    const bare = /^[A-Za-z0-9_-]+/.exec(this.text.slice(this.#at))?.[0];
    this.#at += bare?.length ?? 0;
    return bare;
  }
}

// What was typed and has not reached the server yet, kept in the browser, so that a closed page or
// an empty battery loses nothing either.

export type Drafts = Record<string, { value: unknown; base: unknown }>;

const name = (record: string) => `endshake.draft.${record}`;

export function draftOf(record: string): Drafts {
  try {
    const text = localStorage.getItem(name(record));
    const found: unknown = text === null ? null : JSON.parse(text);
    return typeof found === 'object' && found !== null ? (found as Drafts) : {};
  } catch {
    return {};
  }
}

export function stash(record: string, drafts: Drafts) {
  try {
    localStorage.setItem(name(record), JSON.stringify(drafts));
  } catch {
    // No room, or storing is forbidden: the field on the page still holds the text.
  }
}

export function drop(record: string) {
  try {
    localStorage.removeItem(name(record));
  } catch {
    // As above.
  }
}

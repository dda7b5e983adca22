// How this device wants its list of jobs; it stays so until it is told otherwise.

export interface ListWish {
  /** Only jobs whose watch is still here. */
  open: boolean;
  /** Due first; else the last changed first. */
  dueFirst: boolean;
}

const NAME = 'endshake.jobs';

export function listWish(): ListWish {
  let held: string[] = [];
  try {
    held = (localStorage.getItem(NAME) ?? '').split(' ');
  } catch {
    // Then it is every job, as long as nobody says otherwise.
  }
  return { open: held.includes('open'), dueFirst: held.includes('due-first') };
}

export function keepListWish({ open, dueFirst }: ListWish) {
  const words = [open && 'open', dueFirst && 'due-first'].filter(Boolean);
  try {
    localStorage.setItem(NAME, words.join(' '));
  } catch {
    // Then it holds until the page is closed.
  }
}

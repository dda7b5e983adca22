/** What stands in a field while somebody types in it. */
export interface Typing {
  /** The text to show. */
  readonly text: string;
  /** Whether what was typed means nothing yet: then it is held here, and not sent. */
  readonly unread: boolean;
  input: (event: { currentTarget: { value: string } }) => void;
  /** The field is left: what is kept is shown as it is written. */
  leave: () => void;
}

/** `show` gives what is kept as text, `read` what a text means (undefined: nothing), `set` takes it. */
export function typing<V>(show: () => string, read: (text: string) => V | undefined, set: (value: V) => void): Typing {
  let unread = $state<string | null>(null);
  // While somebody types, the text stands as typed ("52." and "52" mean the same).
  let typed = $state<string | null>(null);
  return {
    get text() {
      return unread ?? typed ?? show();
    },
    get unread() {
      return unread !== null;
    },
    input(event) {
      const now = event.currentTarget.value;
      const value = read(now);
      if (value === undefined) {
        unread = now;
        return;
      }
      unread = null;
      typed = now;
      set(value);
    },
    leave() {
      typed = null;
    },
  };
}

import { untrack } from 'svelte';
import { who } from './who.svelte';

// Keys that do something, each with the words that the list under `?` shows. A component adds its
// keys while it is on the page.

export interface Shortcut {
  key: string;
  words: string;
  /** Nothing is changed by it: it is there for whoever may only look as well. */
  looks?: boolean;
  run: () => void;
}

class Shortcuts {
  #all = $state.raw<Shortcut[]>([]);
  /** Those that whoever sits here may use. */
  readonly list = $derived(this.#all.filter(({ looks }) => looks || who.mayChange));
  /** Whether the list is shown. */
  shown = $state(false);

  add(shortcuts: Shortcut[]): () => void {
    this.#all = [...this.#all, ...shortcuts];
    return () => (this.#all = this.#all.filter((shortcut) => !shortcuts.includes(shortcut)));
  }
}

export const shortcuts = new Shortcuts();

const isTyping = (target: EventTarget | null) =>
  target instanceof HTMLElement &&
  (target.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(target.tagName)) &&
  !(target instanceof HTMLInputElement && /^(radio|checkbox|button|range)$/.test(target.type));

/** Runs the shortcut that the key stands for, unless somebody is typing. */
export function handleKey(event: KeyboardEvent) {
  if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
  if (isTyping(event.target)) return;
  if (document.querySelector('dialog[open]')) return;
  // What a control does with Enter and Space is its own affair.
  const onControl = event.target instanceof HTMLElement && event.target.closest('button, a');
  if (onControl && (event.key === 'Enter' || event.key === ' ')) return;
  const found = shortcuts.list.findLast((shortcut) => shortcut.key === event.key);
  if (!found) return;
  event.preventDefault();
  found.run();
}

/** For use while a component is set up. */
export function useShortcuts(list: () => Shortcut[]) {
  $effect(() => untrack(() => shortcuts.add(list())));
}

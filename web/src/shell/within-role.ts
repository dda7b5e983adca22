// What whoever sits here may not do is not offered: one rule for every page, as the program's own door has
// one (crates/server/src/access/roles.rs). A control is taken for one that changes something unless it, or
// what it lies in, is marked `data-looks`; `data-owners` marks what is the owner's alone. Whoever adds a
// control is on the safe side without thinking of it.

import { who } from './who.svelte';

const CONTROLS = 'button, input, select, textarea';
const READ_ONLY = 'This device may look and change nothing.';
const OWNERS = "This is the owner's to do.";
/** Fields whose text can still be read and copied. */
const TYPED = /^(text|search|number|date|datetime-local|email|tel|url)$/;

/** Why whoever sits here may not do this; empty where they may. */
export function whyNot(element: Element): string {
  if (element.closest('[data-looks]')) return '';
  if (!who.mayChange) return READ_ONLY;
  return !who.isOwner && element.closest('[data-owners]') ? OWNERS : '';
}

function shut(control: Element) {
  const why = whyNot(control);
  if (why === '') return;
  const isTyped =
    control instanceof HTMLTextAreaElement ||
    (control instanceof HTMLInputElement && TYPED.test(control.type));
  // Setting what is set already would be news once more, for ever.
  if (isTyped && !control.readOnly) control.readOnly = true;
  if (!isTyped && !control.matches(':disabled')) control.setAttribute('disabled', '');
  // A file is chosen by pressing the words beside it.
  const label = control instanceof HTMLInputElement ? control.closest('label') : null;
  for (const shown of [control, label]) {
    if (!(shown instanceof HTMLElement)) continue;
    shown.title = why;
    shown.dataset.shut = '';
  }
}

function refuse(event: Event) {
  if (!(event.target instanceof Element) || whyNot(event.target) === '') return;
  event.preventDefault();
  event.stopImmediatePropagation();
}

/** An attachment: shuts what lies within, now and whenever it changes. */
export function withinRole(root: HTMLElement): (() => void) | undefined {
  if (who.isOwner) return undefined;
  const shutAll = (within: Element) => {
    if (within.matches(CONTROLS)) shut(within);
    for (const control of within.querySelectorAll(CONTROLS)) shut(control);
  };
  shutAll(root);
  const observer = new MutationObserver((records) => {
    for (const { type, target, addedNodes } of records) {
      if (type === 'attributes') shut(target as Element);
      for (const node of addedNodes) if (node instanceof Element) shutAll(node);
    }
  });
  const attributeFilter = ['disabled', 'readonly', 'type'];
  observer.observe(root, { subtree: true, childList: true, attributes: true, attributeFilter });
  // A form can be sent by the keys, and files be dropped, without any button.
  const without = ['submit', 'drop', 'paste'] as const;
  for (const name of without) root.addEventListener(name, refuse, true);
  return () => {
    observer.disconnect();
    for (const name of without) root.removeEventListener(name, refuse, true);
  };
}

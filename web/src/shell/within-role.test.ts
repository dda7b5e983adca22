// @vitest-environment jsdom

import { afterEach, beforeEach, expect, test } from 'vitest';
import { shortcuts } from './shortcuts.svelte';
import { who } from './who.svelte';
import { withinRole } from './within-role';

let stop: (() => void) | undefined;
let main: HTMLElement;
beforeEach(() => {
  main = document.createElement('main');
  main.innerHTML = `
    <form id="form"><input id="name" type="text" /><button id="keep">Keep</button></form>
    <label id="words">Photo <input id="file" type="file" /></label>
    <select id="state"></select>
    <div data-looks><input id="find" type="search" /><button id="more">More</button></div>
    <section data-owners><button id="empty">Empty the bin</button></section>`;
  document.body.append(main);
});
afterEach(() => {
  stop?.();
  main.remove();
  who.role = null;
});

const at = <T extends HTMLElement>(id: string) => document.getElementById(id) as T;
const isShut = (id: string) => {
  const { disabled, readOnly } = at<HTMLInputElement>(id);
  return disabled || readOnly === true;
};
const settled = () => new Promise((done) => setTimeout(done));

test('who may only look finds nothing that changes, and reads why', () => {
  who.role = 'read_only';
  stop = withinRole(main);
  for (const id of ['name', 'keep', 'file', 'state', 'empty']) expect(isShut(id), id).toBe(true);
  for (const id of ['find', 'more']) expect(isShut(id), id).toBe(false);
  // What is written can still be read and copied.
  expect(at<HTMLInputElement>('name').disabled).toBe(false);
  expect(at('keep').title).toContain('change nothing');
  expect(at('words').title).toContain('change nothing');
});

test('what comes later, or is opened again by the page, is shut as well', async () => {
  who.role = 'read_only';
  stop = withinRole(main);
  at<HTMLButtonElement>('keep').disabled = false;
  const late = document.createElement('p');
  late.innerHTML = '<button id="late">Later</button>';
  main.append(late);
  await settled();
  expect(isShut('keep')).toBe(true);
  expect(isShut('late')).toBe(true);
});

test('a form sent by the keys, and a file that is dropped, go nowhere', () => {
  who.role = 'read_only';
  stop = withinRole(main);
  let reached = 0;
  at('form').addEventListener('submit', (event) => (event.preventDefault(), reached++));
  at('words').addEventListener('drop', () => reached++);
  at('form').dispatchEvent(new Event('submit', { bubbles: true, cancelable: true }));
  at('words').dispatchEvent(new Event('drop', { bubbles: true, cancelable: true }));
  expect(reached).toBe(0);
});

test("a repairer works, and leaves the owner's to the owner", () => {
  who.role = 'repairer';
  stop = withinRole(main);
  for (const id of ['name', 'keep', 'file', 'state', 'find']) expect(isShut(id), id).toBe(false);
  expect(isShut('empty')).toBe(true);
  expect(at('empty').title).toContain("owner's");
});

test('for the owner nothing is shut', () => {
  who.role = 'owner';
  stop = withinRole(main);
  expect(stop).toBeUndefined();
  expect(isShut('empty')).toBe(false);
});

test('a key that changes something is none for who may only look', () => {
  const run = () => undefined;
  const remove = shortcuts.add([
    { key: 'u', words: 'undo', run },
    { key: 'l', words: 'listen', looks: true, run },
  ]);
  who.role = 'read_only';
  expect(shortcuts.list.map(({ key }) => key)).toEqual(['l']);
  who.role = 'repairer';
  expect(shortcuts.list.map(({ key }) => key)).toEqual(['u', 'l']);
  remove();
});

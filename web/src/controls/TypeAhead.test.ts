// @vitest-environment jsdom

import { render, screen } from '@testing-library/svelte';
import userEvent from '@testing-library/user-event';
import { expect, test, vi } from 'vitest';
import TypeAhead from './TypeAhead.svelte';

const known = ['Marta', 'Martin', 'Oona'];

function open() {
  const onchoose = vi.fn();
  const onnew = vi.fn();
  render(TypeAhead, {
    props: {
      id: 'owner',
      find: async (text: string) => known.filter((name) => name.startsWith(text)),
      words: (name: string) => name,
      onchoose,
      onnew,
    },
  } as never);
  return { onchoose, onnew, user: userEvent.setup(), box: screen.getByRole('combobox') };
}

test('the keyboard alone finds and chooses', async () => {
  const { onchoose, user, box } = open();
  await user.type(box, 'Mar');
  await screen.findByRole('option', { name: 'Martin' });
  await user.keyboard('{ArrowDown}{Enter}');
  expect(onchoose).toHaveBeenCalledWith('Martin');
});

test('what is not known can be entered as new', async () => {
  const { onnew, onchoose, user, box } = open();
  await user.type(box, 'Zora');
  await screen.findByRole('option', { name: 'New: Zora' });
  await user.keyboard('{Enter}');
  expect(onnew).toHaveBeenCalledWith('Zora');
  expect(onchoose).not.toHaveBeenCalled();
});

test('escape closes the list and leaves the text', async () => {
  const { onnew, onchoose, user, box } = open();
  await user.type(box, 'Oo');
  await screen.findByRole('option', { name: 'Oona' });
  await user.keyboard('{Escape}');
  expect(box).toHaveAttribute('aria-expanded', 'false');
  expect(box).toHaveValue('Oo');
  expect(onnew).not.toHaveBeenCalled();
  expect(onchoose).not.toHaveBeenCalled();
});

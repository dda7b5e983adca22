// @vitest-environment jsdom

import { render, screen } from '@testing-library/svelte';
import userEvent from '@testing-library/user-event';
import { expect, test } from 'vitest';
import { Refused } from '../server/request';
import KeptField from './KeptField.svelte';
import { Keeper } from './keeper.svelte';

interface Note {
  id: string;
  version: number;
  text: string;
  count: number;
}
const note: Note = { id: 'n1', version: 1, text: 'dry', count: 2 };

test('a conflict shows both values and lets one be chosen', async () => {
  const user = userEvent.setup();
  const sent: unknown[] = [];
  const keeper = new Keeper<Note>('note', note, async (changes) => {
    sent.push(changes);
    if (changes.version === 1) {
      throw new Refused(409, 'conflict', '', { ...note, version: 2, text: 'cleaned' });
    }
    return { ...note, ...changes, version: 3 };
  });
  render(KeptField, { props: { keeper, field: 'text', label: 'Notes' } } as never);
  const input = screen.getByLabelText('Notes');
  await user.clear(input);
  await user.type(input, 'oiled');
  await user.tab();
  expect(await screen.findByRole('alert')).toHaveTextContent('cleaned');
  expect(screen.getByRole('alert')).toHaveTextContent('oiled');
  await user.click(screen.getByRole('button', { name: 'Keep yours' }));
  expect(await screen.findByText('✓ kept')).toBeInTheDocument();
  expect(sent.at(-1)).toEqual({ version: 2, text: 'oiled' });
});

test('text that means nothing is not sent, and says why', async () => {
  const user = userEvent.setup();
  let sent = 0;
  const keeper = new Keeper<Note>('note', note, async (changes) => {
    sent++;
    return { ...note, ...changes, version: 2 };
  });
  render(KeptField, {
    props: {
      keeper,
      field: 'count',
      label: 'How many',
      read: (text: string) => (/^\d+$/.test(text) ? Number(text) : undefined),
      wrong: 'A whole number.',
    },
  } as never);
  const input = screen.getByLabelText('How many');
  await user.clear(input);
  await user.type(input, 'two');
  await user.tab();
  expect(input).toHaveValue('two');
  expect(screen.getByText('A whole number.')).toBeInTheDocument();
  expect(sent).toBe(0);
  expect(keeper.value('count')).toBe(2);
});

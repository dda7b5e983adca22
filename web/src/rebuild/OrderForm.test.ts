// @vitest-environment jsdom

import { render, screen } from '@testing-library/svelte';
import userEvent from '@testing-library/user-event';
import { expect, test, vi } from 'vitest';
import { MOVEMENT } from '../bench/movement.test-kit';
import OrderForm from './OrderForm.svelte';

const fork = MOVEMENT.steps[6]!;
const bridge = MOVEMENT.steps[7]!;
const dial = MOVEMENT.steps[1]!;

function open() {
  const onenter = vi.fn();
  render(OrderForm, { props: { step: fork, steps: MOVEMENT.steps, onenter } });
  return { onenter, user: userEvent.setup() };
}

test('only what it waits for can be dropped', async () => {
  const { onenter, user } = open();
  const other = screen.getByLabelText('Which other');
  expect([...other.querySelectorAll('option')].map((option) => option.textContent)).toEqual([
    'choose',
    bridge.name,
  ]);
  await user.selectOptions(other, bridge.id);
  await user.type(screen.getByLabelText('Why'), 'the fork goes in under it');
  await user.click(screen.getByText('Enter it'));
  const change = { first: bridge.parts[0]!.id, then: fork.parts[0]!.id, why: 'the fork goes in under it' };
  expect(onenter).toHaveBeenCalledWith([{ kind: 'relation_dropped', ...change }], expect.any(String));
});

test('an order can be added either way', async () => {
  const { onenter, user } = open();
  await user.selectOptions(screen.getByLabelText('It'), 'before');
  await user.selectOptions(screen.getByLabelText('Which other'), dial.id);
  await user.click(screen.getByText('Enter it'));
  const change = { first: fork.parts[0]!.id, then: dial.parts[0]!.id, why: '' };
  expect(onenter).toHaveBeenCalledWith([{ kind: 'relation_added', ...change }], expect.any(String));
});

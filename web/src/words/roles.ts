import type { Role } from '../wire/Role';

/** What a device may do, in the order in which it is offered. */
export const ROLES: readonly { value: Role; words: string; means: string }[] = [
  {
    value: 'repairer',
    words: 'repairer',
    means: 'All work on watches; not the settings of the workshop, nor emptying the bin.',
  },
  { value: 'read_only', words: 'read only', means: 'To look at everything and change nothing.' },
  {
    value: 'owner',
    words: 'owner',
    means: 'Everything. Letting others in and turning them out is done at the bench all the same.',
  },
];

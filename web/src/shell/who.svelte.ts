// Who sits at this page, and what they may do. The program decides; the page says so beforehand.

import type { Role } from '../wire/Role';

class Who {
  /** None until it is known. */
  role = $state.raw<Role | null>(null);
  /** Whether what is typed is kept. */
  readonly mayChange = $derived(this.role !== 'read_only');
  readonly isOwner = $derived(this.role === 'owner');
}

export const who = new Who();

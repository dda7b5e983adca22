// How it stands with the program behind this page: whether its database answers, and what waits for it.

import * as api from '../server/api';
import { onChange } from '../server/changes.svelte';
import { Refused } from '../server/request';
import type { ReadingsAside } from '../wire/ReadingsAside';
import type { Session } from '../wire/Session';

class Standing {
  databaseAnswers = $state(true);
  /** Readings on the bench's disk that are not in the database yet. */
  aside = $state.raw<ReadingsAside | null>(null);

  take(session: Session) {
    this.databaseAnswers = session.database_answers;
    this.aside = session.aside;
  }

  /** Asks again whenever the program says that it has changed. */
  follow(): () => void {
    return onChange(async (change) => {
      if (change !== 'all' && change.kind !== 'session') return;
      try {
        this.take(await api.session());
      } catch (cause) {
        // A phone is known by the database, and not without it. Where nobody answers, the page says so.
        if (cause instanceof Refused && cause.status === 503) this.databaseAnswers = false;
      }
    });
  }
}

export const standing = new Standing();

// Where to see the photos of a job: at the server, or, until it has them, here.

import * as api from '../server/api';
import { loaded } from '../server/loaded.svelte';
import { allPages } from '../server/pages';
import { bench } from './outbox.svelte';

export interface Pictures {
  small: (photo: string) => string | undefined;
  large: (photo: string) => string | undefined;
}

/** For use while a component is set up. */
export function picturesOf(job: () => string): Pictures {
  const list = loaded(
    () => {
      // All of them: any step may show any photo.
      const load = async (page: number) => {
        const { photos, total } = await api.photos.list(job(), page);
        return { items: photos, total };
      };
      return allPages(load, (photo) => photo.id);
    },
    (change) => change.kind === 'photo' && change.job_id === job(),
  );
  const media = $derived(new Map(list.value?.items.map((photo) => [photo.id, photo.media])));
  $effect(() => {
    const waiting = new Set(bench.waiting.map(({ id }) => id));
    for (const id of Object.keys(bench.pictures)) {
      if (media.has(id) && !waiting.has(id)) bench.forget(id);
    }
  });
  const at = (photo: string, address: (media: string) => string) => {
    const held = media.get(photo);
    return held === undefined ? bench.pictures[photo] : address(held);
  };
  return {
    small: (photo) => at(photo, api.smallPicture),
    large: (photo) => at(photo, api.picture),
  };
}

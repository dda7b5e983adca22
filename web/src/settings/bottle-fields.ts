import type { Bottle } from '../wire/Bottle';

/** What is entered of a bottle. */
export type BottleFields = Omit<Bottle, 'id' | 'version' | 'class_words' | 'is_old'>;

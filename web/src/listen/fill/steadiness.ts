// Whether a watch on the pickup is left alone, told from the level meter alone: hands on a watch are
// louder than its beats, and a watch that is lifted off is softer.

import type { Level } from '../../wire/Level';

/** Every watch beats several times in so long: the loudest sample of it is that of a beat. */
const BLOCK_S = 1;
/** Beats of one position differ by less than this, hands by more; common practice, no published source. */
const ALIKE_DB = 6;
/** So many blocks in a row that are alike are a watch left alone. */
const STEADY_BLOCKS = 3;
/** A door or a cough is one block; turning a watch takes longer. */
const HANDLED_BLOCKS = 2;
/** Softer than this is nothing on the pickup, dBFS. */
const SILENT_DBFS = -70;

export interface Sound {
  /** It has been left alone for a while. */
  steady: boolean;
  /** Hands are at it, or it is gone. */
  handled: boolean;
}

export class Steadiness {
  #from_s: number | null = null;
  #loudest = -Infinity;
  #blocks: number[] = [];
  /** How loud it is when left alone; none until it was. */
  #usual: number | null = null;
  #odd = 0;

  /** What is heard now is not the watch: a block begins anew after it. */
  rest() {
    this.#from_s = null;
    this.#loudest = -Infinity;
  }

  /** What a frame of the meter adds; nothing while a block is not full. */
  take({ elapsed_s, peak_dbfs }: Pick<Level, 'elapsed_s' | 'peak_dbfs'>): Sound | null {
    // A meter that begins anew has begun to listen anew.
    if (this.#from_s === null || elapsed_s < this.#from_s) this.#from_s = elapsed_s;
    this.#loudest = Math.max(this.#loudest, ...peak_dbfs);
    if (elapsed_s - this.#from_s < BLOCK_S) return null;
    const block = this.#loudest;
    this.#from_s = elapsed_s;
    this.#loudest = -Infinity;
    return this.#take(block);
  }

  #take(block: number): Sound {
    this.#blocks = [...this.#blocks.slice(1 - STEADY_BLOCKS), block];
    const [least, most] = [Math.min(...this.#blocks), Math.max(...this.#blocks)];
    const alike = this.#blocks.length === STEADY_BLOCKS && most - least <= ALIKE_DB && least > SILENT_DBFS;
    if (this.#usual === null) {
      if (alike) this.#usual = (least + most) / 2;
      return { steady: alike, handled: false };
    }
    this.#odd = Math.abs(block - this.#usual) > ALIKE_DB ? this.#odd + 1 : 0;
    if (this.#odd < HANDLED_BLOCKS) return { steady: this.#odd === 0, handled: false };
    // Lying another way it may be as loud as it likes.
    this.#usual = null;
    this.#odd = 0;
    this.#blocks = [block];
    return { steady: false, handled: true };
  }
}

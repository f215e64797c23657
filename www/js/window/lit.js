// @ts-check
// Which limit is emphasised in the figure: the one whose row is pointed at, otherwise the one that was opened last.

/** @typedef {Gatefrost.Limit} Limit */

class Lit extends EventTarget {
  /** @type {Limit | null} */
  #opened = null;
  /** @type {Limit | null} */
  #pointed = null;

  get limit() {
    return this.#pointed ?? this.#opened;
  }

  /** @param {Limit} limit */
  open(limit) {
    this.#change(limit, this.#pointed);
  }

  // Its row was closed.
  /** @param {Limit} limit */
  close(limit) {
    this.#change(this.#opened === limit ? null : this.#opened, this.#pointed);
  }

  /** @param {Limit | null} limit */
  point(limit) {
    this.#change(this.#opened, limit);
  }

  /**
   * @param {Limit | null} opened
   * @param {Limit | null} pointed
   */
  #change(opened, pointed) {
    const before = this.limit;
    this.#opened = opened;
    this.#pointed = pointed;
    if (this.limit !== before) this.dispatchEvent(new Event("changed"));
  }
}

// Sends "changed".
export const lit = new Lit();

// One worker that does one thing at a time and can be stopped in the middle of it.

export class Hand {
  #spawn;
  #worker = null;
  #pending = null;
  #id = 0;

  constructor(spawn) {
    this.#spawn = spawn;
    this.#hire();
  }

  get busy() {
    return this.#pending !== null;
  }

  // Resolves to {text, bytes}, {values}, {problems}, {failure} or {stopped}; never rejects.
  run(job) {
    this.#id += 1;
    const id = this.#id;
    return new Promise((resolve) => {
      this.#pending = { id, resolve };
      this.#worker.postMessage({ id, ...job });
    });
  }

  // Ends the work in hand; the next job gets a fresh worker.
  stop() {
    if (!this.#pending) return;
    this.#replace();
    this.#settle({ stopped: true });
  }

  #hire() {
    const worker = this.#spawn();
    this.#worker = worker;
    worker.onmessage = ({ data }) => {
      if (worker !== this.#worker || data.id !== this.#pending?.id) return;
      // After a trap the instance's memory cannot be trusted.
      if (data.failure) this.#replace();
      this.#settle(data);
    };
    worker.onerror = (event) => {
      event.preventDefault();
      if (worker !== this.#worker) return;
      const failure = event.message || "the worker could not start";
      if (!this.#pending) return;
      this.#replace();
      this.#settle({ failure });
    };
  }

  #replace() {
    this.#worker.terminate();
    this.#hire();
  }

  #settle(answer) {
    const pending = this.#pending;
    this.#pending = null;
    pending?.resolve(answer);
  }
}

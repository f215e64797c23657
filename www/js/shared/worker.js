// One worker that does one thing at a time and can be stopped in the middle of it. A worker that dies, breaks off
// or gives no answer is replaced, and its job begins anew. A job on which that happens twice has failed.

const ATTEMPTS = 2;
// Time for a worker to start, in ms.
const START = 60_000;
// Time after which a job counts as hung, in ms, for the usual number of cells and layers. The work grows with the
// layers and with the square of the cells; within that the core bounds it.
const PATIENCE = 300_000;
const USUAL = 58 ** 2 * 20;

function patience({ args: { scenario } }) {
  const { axial_cells: cells = 0, layers = 0 } = (scenario && JSON.parse(scenario).model) ?? {};
  return PATIENCE * Math.max(1, (cells ** 2 * layers) / USUAL);
}

export class PageWorker {
  #spawn;
  #worker = null;
  #ready = false;
  #pending = null;
  #id = 0;

  constructor(spawn) {
    this.#spawn = spawn;
    this.#hire();
  }

  get busy() {
    return this.#pending !== null;
  }

  // Does a job, {call, args}. Resolves to {value}, {problems}, {failure} or {stopped}; never rejects.
  run(job) {
    return new Promise((resolve) => {
      this.#pending = { job, resolve, id: 0, lost: 0, timer: 0 };
      this.#begin();
    });
  }

  // Ends the job under way; the next job gets a fresh worker.
  stop() {
    if (!this.#pending) return;
    this.#dismiss();
    this.#hire();
    this.#settle({ stopped: true });
  }

  #hire() {
    const worker = this.#spawn();
    this.#worker = worker;
    this.#ready = false;
    const mine = () => worker === this.#worker;
    worker.onmessage = ({ data }) => {
      if (!mine()) return;
      if (data.ready) {
        this.#ready = true;
        // Granted once the worker is no more, however it ended.
        if (data.life) navigator.locks.request(data.life, () => mine() && this.#lost("it was ended, perhaps because memory ran out"));
        if (this.#pending) this.#post();
      } else if (data.id === this.#pending?.id) {
        // After a trap the instance's memory cannot be trusted.
        if (data.failure) this.#lost(data.failure);
        else this.#settle(data);
      }
    };
    worker.onerror = (event) => {
      event.preventDefault();
      if (mine()) this.#lost(event.message || "the worker could not start");
    };
  }

  // The job goes to the worker once that is there.
  #begin() {
    if (!this.#worker) this.#hire();
    if (this.#ready) this.#post();
    else this.#wait(START, "the worker did not start");
  }

  #post() {
    const pending = this.#pending;
    this.#id += 1;
    pending.id = this.#id;
    const time = patience(pending.job);
    this.#wait(time, `no answer came within ${Math.round(time / 60_000)} minutes`);
    this.#worker.postMessage({ id: pending.id, ...pending.job });
  }

  #wait(time, words) {
    clearTimeout(this.#pending.timer);
    this.#pending.timer = setTimeout(() => this.#lost(words), time);
  }

  // Drops a worker that cannot be used any more. If it was idle, the next job starts another.
  #lost(words) {
    this.#dismiss();
    const pending = this.#pending;
    if (!pending) return;
    pending.lost += 1;
    if (pending.lost < ATTEMPTS) this.#begin();
    else this.#settle({ failure: `Tried ${ATTEMPTS} times: ${words}.` });
  }

  #dismiss() {
    this.#worker?.terminate();
    this.#worker = null;
  }

  #settle(answer) {
    const pending = this.#pending;
    this.#pending = null;
    clearTimeout(pending.timer);
    pending.resolve(answer);
  }
}

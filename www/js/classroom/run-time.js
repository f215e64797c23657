// @ts-check
// The run-time interface of SCORM 1.2 that a course page offers to the page inside it (ADL, Sharable Content Object
// Reference Model 1.2, Run-Time Environment).

/**
 * @typedef {object} Api
 * @property {(empty: "") => string} LMSInitialize
 * @property {(empty: "") => string} LMSFinish
 * @property {(empty: "") => string} LMSCommit
 * @property {(name: string) => string} LMSGetValue
 * @property {(name: string, value: string) => string} LMSSetValue
 * @property {() => string} LMSGetLastError
 * @property {(code: string) => string} LMSGetErrorString
 */

// Windows above each other that are looked at.
const MOST_WINDOWS = 50;

/**
 * The windows that may have the interface: this one, those around it, and those that opened one of them.
 * @param {Window} from
 */
function* windows(from) {
  /** @type {Window[]} */
  const openers = [];
  let next = /** @type {Window | null} */ (from);
  for (let looked = 0; next && looked < MOST_WINDOWS; looked += 1) {
    yield next;
    if (next.opener) openers.push(next.opener);
    next = next.parent === next ? openers.shift() ?? null : next.parent;
  }
}

/** @returns {Api | null} */
function find() {
  for (const place of windows(window)) {
    try {
      const api = /** @type {any} */ (place).API;
      if (typeof api?.LMSInitialize === "function") return api;
    } catch {
      // A window of another origin lets nobody look into it.
    }
  }
  return null;
}

/** @param {number} value */
const two = (value) => String(Math.floor(value)).padStart(2, "0");

/** @param {Date} time */
const clock = (time) => [time.getHours(), time.getMinutes(), time.getSeconds()].map(two).join(":");

/** @param {number} seconds */
const span = (seconds) => `${String(Math.min(9999, Math.floor(seconds / 3600))).padStart(4, "0")}:${two((seconds / 60) % 60)}:${two(seconds % 60)}`;

export class RunTime {
  #api;
  #begun = performance.now();
  #ended = false;

  /** @param {Api} api */
  constructor(api) {
    this.#api = api;
  }

  // The interface, if there is one.
  static find() {
    const api = find();
    return api && new RunTime(api);
  }

  // Begins the session. Returns what is wrong, or null.
  begin() {
    return this.#api.LMSInitialize("") === "true" ? null : this.#error();
  }

  /** @param {string} name */
  get(name) {
    return String(this.#api.LMSGetValue(name) ?? "");
  }

  // Sets values, and returns what the course page says against the first that it refuses.
  /**
   * @param {[string, string | number][]} values
   * @returns {string | null}
   */
  set(values) {
    for (const [name, value] of values) {
      if (this.#api.LMSSetValue(name, String(value)) !== "true") return `${name}: ${this.#error()}`;
    }
    return null;
  }

  // Adds an answer to the list of those that were given.
  /**
   * @param {string} id of letters, digits and hyphens
   * @param {string} typed
   * @param {boolean} right
   */
  answer(id, typed, right) {
    const at = Number(this.get("cmi.interactions._count")) || 0;
    const of = (/** @type {string} */ part) => `cmi.interactions.${at}.${part}`;
    return this.set([[of("id"), id], [of("type"), "fill-in"], [of("time"), clock(new Date())], [of("student_response"), typed], [of("result"), right ? "correct" : "wrong"]]);
  }

  commit() {
    return this.#api.LMSCommit("") === "true" ? null : this.#error();
  }

  // Ends the session: once only, and for good.
  /** @param {boolean} done */
  end(done) {
    if (this.#ended) return;
    this.#ended = true;
    this.set([["cmi.core.session_time", span((performance.now() - this.#begun) / 1000)], ["cmi.core.exit", done ? "" : "suspend"]]);
    this.#api.LMSCommit("");
    this.#api.LMSFinish("");
  }

  #error() {
    const code = String(this.#api.LMSGetLastError());
    return `${this.#api.LMSGetErrorString(code)} (${code})`;
  }
}

// @ts-check
// Loads the page's WebAssembly module once: compiled here, instantiated on the page and handed to the workers. Loads
// the window's module for the workers of another page.

import init from "gatefrost";

export * from "gatefrost";

/**
 * Where a module is.
 * @typedef {object} Place
 * @property {string} bindings address of the binding script
 * @property {Element | null | undefined} inline the module itself, compressed, where all pages are in one file
 */

// In one file each module waits in a template of its own.
/** @param {string | undefined} name */
function kept(name) {
  const template = /** @type {HTMLTemplateElement | null} */ (document.querySelector(`template[data-core=${name}]`));
  return template?.content.getElementById("wasm-b64");
}

/** @returns {Place} */
const own = () => ({ bindings: import.meta.resolve("gatefrost"), inline: kept(document.documentElement.dataset.module) });

// The module of the window, from another page.
/** @returns {Place} */
function ofWindow() {
  const all = document.getElementById("bindings-of-pages")?.textContent;
  if (!all) return { bindings: new URL("window.js", own().bindings).href, inline: null };
  return { bindings: JSON.parse(all).index, inline: kept("window") };
}

// A module that is no page's own.
/**
 * @param {string} name
 * @returns {Place}
 */
function apart(name) {
  const all = document.getElementById("bindings-apart")?.textContent;
  if (!all) return { bindings: new URL(`${name}.js`, own().bindings).href, inline: null };
  return { bindings: JSON.parse(all)[name], inline: kept(name) };
}

// Without a copy in the page, the module is a file beside its binding script.
/**
 * @param {Place} place
 * @param {(share: number) => void} heard
 */
async function compile({ bindings, inline }, heard) {
  if (inline) {
    const packed = new Blob([bytesOf(inline.textContent ?? "")]).stream();
    return compiled(new Response(packed.pipeThrough(new DecompressionStream("gzip"))));
  }
  const address = bindings.replace(/\.js$/, "_bg.wasm");
  const response = watched(await fetch(address), address, heard);
  if (!response.ok) throw new Error(`the WebAssembly module answers ${response.status}`);
  // Not every host knows the type; without it the browser will not compile while it loads.
  const known = response.headers.get("Content-Type") === "application/wasm";
  return known ? WebAssembly.compileStreaming(response) : compiled(response);
}

// The same response, reporting its progress. A response that is already complete is returned unchanged, because only
// then may the browser cache the compiled module.
/**
 * @param {Response} response
 * @param {string} address
 * @param {(share: number) => void} heard
 */
function watched(response, address, heard) {
  const [entry] = performance.getEntriesByName(address);
  const complete = entry instanceof PerformanceResourceTiming && entry.responseEnd > 0;
  const whole = Number(/** @type {HTMLElement | null} */ (document.querySelector("link[data-bytes]"))?.dataset.bytes);
  if (complete || !response.ok || !response.body || !(whole > 0)) return response;
  let there = 0;
  const count = new TransformStream({
    /**
     * @param {Uint8Array} chunk
     * @param {TransformStreamDefaultController} controller
     */
    transform(chunk, controller) {
      there += chunk.byteLength;
      heard(Math.min(1, there / whole));
      controller.enqueue(chunk);
    },
  });
  return new Response(response.body.pipeThrough(count), { headers: response.headers });
}

/** @param {Response} response */
const compiled = async (response) => WebAssembly.compile(await response.arrayBuffer());

/** @param {string} base64 */
function bytesOf(base64) {
  const binary = atob(base64);
  const bytes = new Uint8Array(binary.length);
  for (let i = 0; i < binary.length; i += 1) bytes[i] = binary.charCodeAt(i);
  return bytes;
}

// Text of a binding script. A `data:` address is decoded here, because the policy of the single
// file allows no fetch at all.
/** @param {string} address */
async function bindingText(address) {
  if (address.startsWith("data:")) return decodeURIComponent(address.slice(address.indexOf(",") + 1));
  const response = await fetch(address);
  if (!response.ok) throw new Error(`the binding script answers ${response.status}`);
  return response.text();
}

// What a worker does: instantiate the module it is given, then answer calls one by one. A call is {id, call, args}
// with named arguments; its answer is {id, value}, {id, problems} or {id, failure}.
function workerBody() {
  /** @type {any} */
  const self = globalThis;
  self.onmessage = (/** @type {MessageEvent} */ { data }) => {
    if (data.module) {
      self.initSync({ module: data.module });
      // The worker holds this lock for as long as it lives, so the page learns when it has ended. Some addresses, such
      // as those of files, may not use locks.
      const ready = (/** @type {string | null} */ life) => self.postMessage({ ready: true, life });
      const held = () => {
        ready(data.life);
        return new Promise(() => {});
      };
      if (self.navigator.locks) self.navigator.locks.request(data.life, held).catch(() => ready(null));
      else ready(null);
      return;
    }
    const { id, call, args } = data;
    try {
      const value = self[call](args);
      self.postMessage({ id, value }, value?.bytes ? [value.bytes.buffer] : []);
    } catch (caught) {
      const error = /** @type {any} */ (caught);
      if (error && error.problems) {
        self.postMessage({ id, problems: error.problems, unlisted: error.unlisted });
        return;
      }
      let words = String(error);
      try {
        words = self.last_panic() || words;
      } catch {
        // The instance cannot answer any more. The message of the trap is used instead.
      }
      self.postMessage({ id, failure: words });
    }
  };
}

// Import maps do not reach into workers, and a module worker from a blob does not start from
// file:// in every browser. So the worker is a classic script: the bindings without their exports. Their
// functions and classes are then members of `self`.
/**
 * @param {string} bindings
 * @param {() => void} [more] what the worker can do beside
 */
function workerText(bindings, more = () => {}) {
  const plain = bindings
    .replace(/^export\s*\{[^}]*\}\s*;?/gm, "")
    .replace(/^export\s+default\s+/gm, "")
    .replace(/^export\s+class\s+(\w+)/gm, "self.$1 = class $1")
    .replace(/^export\s+(?=async|function|const|let|var)/gm, "");
  return `${plain}\n(${workerBody})();\n(${more})();\n`;
}

/**
 * Resolves to a function that starts a worker with the page's module in it.
 * @param {(share: number) => void} heard how much of the module is there
 */
export async function load(heard = () => {}) {
  const { module, spawn } = await loaded(own(), heard);
  await init({ module_or_path: module });
  return spawn;
}

/** @typedef {Promise<() => Worker>} Loading resolves to a function that starts a worker with a module in it */

// A module is loaded once. After a load that failed, the next call tries again.
/**
 * @param {() => Place} place
 * @returns {() => Loading}
 */
function once(place) {
  /** @type {Loading | null} */
  let loading = null;
  return () => {
    if (!loading) {
      loading = loaded(place(), () => {}).then(({ spawn }) => spawn);
      loading.catch(() => (loading = null));
    }
    return loading;
  };
}

// The module of the window, for another page; that of what is computed on request; that of fits to tables of readings.
export const loadWindow = once(ofWindow);
export const loadStudies = once(() => apart("studies"));
export const loadReadings = once(() => apart("readings"));

// The module of the window for workers that can do more: `body` runs in each of them, once, before its first job.
/** @param {() => void} body */
export const loadWindowWith = (body) => loaded(ofWindow(), () => {}, body).then(({ spawn }) => spawn);

/**
 * @param {Place} place
 * @param {(share: number) => void} heard
 * @param {() => void} [more]
 */
async function loaded(place, heard, more) {
  const [module, bindings] = await Promise.all([compile(place, heard), bindingText(place.bindings)]);
  const address = URL.createObjectURL(new Blob([workerText(bindings, more)], { type: "text/javascript" }));
  const name = Math.random();
  let workers = 0;
  const spawn = () => {
    const worker = new Worker(address);
    workers += 1;
    worker.postMessage({ module, life: `gatefrost ${name} ${workers}` });
    return worker;
  };
  return { module, spawn };
}

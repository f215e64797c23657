// Loads the core once: compiled here, instantiated on the page and handed to the workers.

import init from "gatefrost";

export * from "gatefrost";

// The core comes from the page itself, compressed, where all is packed into one file; otherwise from
// beside its binding script.
async function compile() {
  const inline = document.getElementById("wasm-b64");
  if (inline) {
    const packed = new Blob([bytesOf(inline.textContent)]).stream();
    return compiled(new Response(packed.pipeThrough(new DecompressionStream("gzip"))));
  }
  const response = await fetch(new URL("gatefrost_bg.wasm", import.meta.resolve("gatefrost")));
  if (!response.ok) throw new Error(`the core answers ${response.status}`);
  // Not every host knows the type; without it the browser will not compile while it loads.
  const known = response.headers.get("Content-Type") === "application/wasm";
  return known ? WebAssembly.compileStreaming(response) : compiled(response);
}

const compiled = async (response) => WebAssembly.compile(await response.arrayBuffer());

function bytesOf(base64) {
  const binary = atob(base64);
  const bytes = new Uint8Array(binary.length);
  for (let i = 0; i < binary.length; i += 1) bytes[i] = binary.charCodeAt(i);
  return bytes;
}

// Text of the binding script. A `data:` address is decoded here, because the policy of the single
// file allows no fetch at all.
async function bindingText() {
  const address = import.meta.resolve("gatefrost");
  const data = /^data:[^,]*;base64,(.*)$/s.exec(address);
  if (data) return new TextDecoder().decode(bytesOf(data[1]));
  const response = await fetch(address);
  if (!response.ok) throw new Error(`the binding script answers ${response.status}`);
  return response.text();
}

// What a worker does: instantiate the module it is given, then answer calls one by one.
function workerBody() {
  self.onmessage = ({ data }) => {
    if (data.module) {
      self.initSync({ module: data.module });
      // A lock that is held for as long as the worker lives tells the page when it does not any more. Not every
      // address may have locks.
      const ready = (life) => self.postMessage({ ready: true, life });
      const held = () => {
        ready(data.life);
        return new Promise(() => {});
      };
      if (self.navigator.locks) self.navigator.locks.request(data.life, held).catch(() => ready(null));
      else ready(null);
      return;
    }
    const { id, call, scenario, fine, places, args } = data;
    try {
      // The laboratory's readings come as { call: "study" | "assess", args }.
      const answer = args ? self.Laboratory[call](...args) : self[call](scenario, fine, places);
      if (answer instanceof Float64Array) {
        self.postMessage({ id, values: answer }, [answer.buffer]);
        return;
      }
      const { text, bytes } = answer;
      answer.free();
      self.postMessage({ id, text, bytes }, [bytes.buffer]);
    } catch (error) {
      if (error && error.problems) {
        self.postMessage({ id, problems: error.problems, unlisted: error.unlisted });
        return;
      }
      let words = String(error);
      try {
        words = self.last_panic() || words;
      } catch {
        // The instance is past answering; the trap's own words have to do.
      }
      self.postMessage({ id, failure: words });
    }
  };
}

// Import maps do not reach into workers, and a module worker from a blob does not start from
// file:// in every browser. So the worker is a classic script: the bindings without their exports.
function workerText(bindings) {
  const plain = bindings
    .replace(/^export\s*\{[^}]*\}\s*;?/gm, "")
    .replace(/^export\s+default\s+/gm, "")
    .replace(/^export\s+(?=async|function|class|const|let|var)/gm, "");
  return `${plain}\nObject.assign(self, { initSync, evaluate, margins, missed, band, beside, moments, hold_study, safety, tried, usable_with, opening, Laboratory, last_panic });\n(${workerBody})();\n`;
}

// Resolves to a function that starts a worker with the core in it.
export async function load() {
  const [module, bindings] = await Promise.all([compile(), bindingText()]);
  await init({ module_or_path: module });
  const address = URL.createObjectURL(new Blob([workerText(bindings)], { type: "text/javascript" }));
  const page = Math.random();
  let workers = 0;
  return () => {
    const worker = new Worker(address);
    workers += 1;
    worker.postMessage({ module, life: `gatefrost ${page} ${workers}` });
    return worker;
  };
}

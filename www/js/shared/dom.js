// Building the page's elements. Text always goes in as text, never as markup.

// Properties of elements by their name, attributes by theirs (those with a hyphen, and `role`),
// functions as listeners.
export function el(tag, properties = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (value === undefined || value === null) continue;
    if (typeof value === "function") element.addEventListener(name.slice(2), value);
    else if (name === "dataset") Object.assign(element.dataset, value);
    else if (name.includes("-") || !(name in element)) element.setAttribute(name, value);
    else element[name] = value;
  }
  element.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

// A field for a number as it is written.
export const numberInput = (properties) => el("input", { type: "text", inputMode: "decimal", autocomplete: "off", spellcheck: false, ...properties });

// What is wrong with a field, beneath it: `fail(message)`, or nothing for all is well.
export function complaint(id, input) {
  const error = el("p", { className: "error", id: `${id}-error`, hidden: true });
  const fail = (message) => {
    error.textContent = message ?? "";
    error.hidden = !message;
    if (message) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
  };
  return { error, fail };
}

export const byId = (id) => document.getElementById(id);

// A symbol of the trade, `T_m` with its index set low.
export function symbol(text) {
  const [base, index] = text.split("_");
  return el("span", { className: "symbol" }, base, index && el("sub", {}, index));
}

// One call per frame, whatever the number of requests.
export function onceAFrame(work) {
  let waiting = false;
  return () => {
    if (waiting) return;
    waiting = true;
    requestAnimationFrame(() => {
      waiting = false;
      work();
    });
  };
}

// One call after the last request has been quiet for a while.
export function whenQuiet(milliseconds, work) {
  let timer = 0;
  return () => {
    clearTimeout(timer);
    timer = setTimeout(work, milliseconds);
  };
}

export function download(name, type, text) {
  const address = URL.createObjectURL(new Blob([text], { type }));
  const anchor = el("a", { href: address, download: name });
  document.body.append(anchor);
  anchor.click();
  anchor.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}

// A name that any file system takes.
export function fileName(title, ending) {
  const plain = title.normalize("NFKD").replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-+|-+$/g, "").toLowerCase();
  return `${plain.slice(0, 60) || "scenario"}${ending}`;
}

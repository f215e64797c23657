// @ts-check
// Building the page's elements. Text always goes in as text, never as markup.

/** @typedef {Node | string | number | false | null | undefined} Child */

// Whether a child is there at all. An empty one is left out: it would be written as a word.
/**
 * @template Shown
 * @param {Shown | false | null | undefined} child
 * @returns {child is Shown}
 */
export const isShown = (child) => child !== null && child !== undefined && child !== false;

// Properties of elements by their name, attributes by theirs (those with a hyphen, and `role`),
// functions as listeners.
/**
 * @template {keyof HTMLElementTagNameMap} Tag
 * @param {Tag} tag
 * @param {Record<string, any>} [properties]
 * @param {...(Child | readonly Child[])} children
 * @returns {HTMLElementTagNameMap[Tag]}
 */
export function el(tag, properties = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (value === undefined || value === null) continue;
    if (typeof value === "function") element.addEventListener(name.slice(2), value);
    else if (name === "dataset") Object.assign(element.dataset, value);
    else if (name.includes("-") || !(name in element)) element.setAttribute(name, value);
    else /** @type {Record<string, any>} */ (element)[name] = value;
  }
  element.append(.../** @type {(Node | string)[]} */ (children.flat().filter(isShown)));
  return element;
}

// A field for a number as it is written.
/** @param {Record<string, any>} properties */
export const numberInput = (properties) => el("input", { type: "text", inputMode: "decimal", autocomplete: "off", spellcheck: false, ...properties });

// The message below a field: `fail(message)`. An empty message clears it.
/**
 * @param {string} id
 * @param {HTMLElement} input
 */
export function complaint(id, input) {
  const error = el("p", { className: "error", id: `${id}-error`, hidden: true });
  /** @param {string | null} [message] */
  const fail = (message) => {
    put(error, message ?? "");
    putHidden(error, !message);
    if (message) putAttribute(input, "aria-invalid", "true");
    else if (input.hasAttribute("aria-invalid")) input.removeAttribute("aria-invalid");
  };
  return { error, fail };
}

/**
 * The element with this id, which must exist, and with this tag if one is given.
 * @template {keyof HTMLElementTagNameMap} [Tag="div"]
 * @param {string} id
 * @param {Tag} [tag]
 * @returns {HTMLElementTagNameMap[Tag]}
 */
export function byId(id, tag) {
  const element = document.getElementById(id);
  if (!element || (tag && element.localName !== tag)) throw new Error(`the page has no ${tag ?? "element"} ${id}`);
  return /** @type {HTMLElementTagNameMap[Tag]} */ (element);
}

// Puts a text into an element. The same text is not written again, so that the browser has nothing to lay out.
/**
 * @param {Element} element
 * @param {string} words
 */
export function put(element, words) {
  if (element.textContent !== words) element.textContent = words;
}

// Likewise an attribute.
/**
 * @param {Element} element
 * @param {string} name
 * @param {string} value
 */
export function putAttribute(element, name, value) {
  if (element.getAttribute(name) !== value) element.setAttribute(name, value);
}

// Shows or hides an element.
/**
 * @param {HTMLElement} element
 * @param {boolean} hidden
 */
export function putHidden(element, hidden) {
  if (element.hidden !== hidden) element.hidden = hidden;
}

// A symbol such as `T_m`, with its index as a subscript.
/** @param {string} text */
export function symbol(text) {
  const [base, index] = text.split("_");
  return el("span", { className: "symbol" }, base, index && el("sub", {}, index));
}

// At most one call per frame, however many requests there are.
/** @param {() => void} work */
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

// One call, a while after the last request.
/**
 * @param {number} milliseconds
 * @param {() => void} work
 */
export function whenQuiet(milliseconds, work) {
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let timer;
  return () => {
    clearTimeout(timer);
    timer = setTimeout(work, milliseconds);
  };
}

/**
 * @param {string} name
 * @param {string} type
 * @param {BlobPart} text
 */
export function download(name, type, text) {
  const address = URL.createObjectURL(new Blob([text], { type }));
  const anchor = el("a", { href: address, download: name });
  document.body.append(anchor);
  anchor.click();
  anchor.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}

// A name that any file system takes.
/**
 * @param {string} title
 * @param {string} ending
 */
export function fileName(title, ending) {
  const plain = title.normalize("NFKD").replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-+|-+$/g, "").toLowerCase();
  return `${plain.slice(0, 60) || "scenario"}${ending}`;
}

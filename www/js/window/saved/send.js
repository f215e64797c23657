// @ts-check
// A link that works elsewhere, and the system's own sharing on a phone.

import { byId, el } from "app/shared/dom";
import { keep, recall } from "app/shared/keep";
import { model } from "app/window/settings/model";

// The same place as the address of the toolmaker's code.
const BASE = "gatefrost.address";
const storage = () => localStorage;

/** @param {string | null} text */
const hosted = (text) => (text && /^https?:\/\/[^\s#]+/.exec(text)?.[0]) || null;

/**
 * Sends or copies the scenario. Returns what came of it in one word; nothing if it could not be copied.
 * @param {string} fragment the text behind `#`
 * @param {string | null} address of this page with it; null for a page opened from a file, which is nobody else's address
 */
export async function send(fragment, address) {
  const base = hosted(recall(storage, BASE));
  const url = address ?? (base && `${base}#${fragment}`);
  if (!url) elsewhere();
  if ("share" in navigator && matchMedia("(pointer: coarse)").matches) {
    try {
      await navigator.share({ title: model.scenario.name, ...(url ? { url } : { text: fragment }) });
      byId("said").textContent = "Handed on.";
      return "Sent";
    } catch (error) {
      if (error instanceof DOMException && error.name === "AbortError") return "Not sent";
    }
  }
  return put(url ?? fragment, url ? "Link copied." : "The text behind # is copied.");
}

/**
 * @param {string} text
 * @param {string} words
 */
async function put(text, words) {
  const said = byId("said");
  try {
    await navigator.clipboard.writeText(text);
    said.textContent = words;
    return "Copied";
  } catch {
    const field = byId("link-text", "input");
    field.hidden = false;
    field.value = text;
    field.select();
    said.textContent = "Copy the link from the field.";
    return "";
  }
}

// Says how the text is used, and asks once for the address of a hosted copy.
function elsewhere() {
  document.getElementById("link-elsewhere")?.remove();
  const field = el("input", { type: "url", id: "hosted-address", placeholder: "https://…" });
  const wrong = el("span", { role: "status" });
  const take = () => {
    const base = hosted(field.value.trim());
    if (!base) {
      wrong.textContent = " It must begin with https:// or http://.";
      field.focus();
      return;
    }
    keep(storage, BASE, base);
    box.remove();
    byId("copy-link").click();
  };
  field.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    take();
  });
  const box = el(
    "div",
    { id: "link-elsewhere", className: "small" },
    el("p", {}, "This page is a file on your device, so its address opens nowhere else. The text that is copied opens in any copy of Gatefrost: press “Saved” there, paste it, press “Open the link”."),
    el("p", {}, el("label", { htmlFor: field.id }, "Or type the address of a copy on a host, once: "), field, " ", el("button", { type: "button", id: "hosted-keep", onclick: take }, "Use this address"), wrong),
  );
  byId("said").after(box);
}

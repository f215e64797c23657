// @ts-check
// Has the site set aside for use without a network, and says when a newer version than this page's lies ready.

import { el } from "app/shared/dom";

// This module stands in the folder of its version.
const top = new URL("../../../", import.meta.url);
const version = new URL("../..", import.meta.url).pathname.split("/").at(-2);

function say() {
  if (document.querySelector(".newer")) return;
  const load = el("button", { type: "button", className: "quiet", onclick: () => location.reload() }, "Load it");
  document.querySelector("header")?.after(el("p", { className: "newer small", role: "status" }, "A newer version is ready. ", load));
}

// Where it is not to be had, as in some private windows, the page does without.
if (isSecureContext && "serviceWorker" in navigator) {
  const workers = navigator.serviceWorker;
  workers.addEventListener("message", ({ data }) => data.version && data.version !== version && say());
  workers.register(new URL("offline.js", top), { updateViaCache: "none" }).catch(() => {});
}

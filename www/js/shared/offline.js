// @ts-check
// Asks for the service worker, which keeps the site for use without a network. Says when a newer version is ready.

import { el } from "app/shared/dom";

// This module is in the folder of its version.
const top = new URL("../../../", import.meta.url);
const version = new URL("../..", import.meta.url).pathname.split("/").at(-2);

function say() {
  if (document.querySelector(".newer")) return;
  const load = el("button", { type: "button", className: "quiet", onclick: () => location.reload() }, "Load it");
  document.querySelector("header")?.after(el("p", { className: "newer small", role: "status" }, "A newer version is ready. ", load));
}

// Without a service worker, as in some private windows, the page works as usual.
if (isSecureContext && "serviceWorker" in navigator) {
  const workers = navigator.serviceWorker;
  workers.addEventListener("message", ({ data }) => data.version && data.version !== version && say());
  workers.register(new URL("offline.js", top), { updateViaCache: "none" }).catch(() => {});
}

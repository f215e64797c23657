// @ts-check
// The service worker: the site without a network. The build puts VERSION and FILES before this, each
// file with its hash. The parts of a page are in a folder named after the version, so that versions cannot mix. The page
// itself comes from the network as long as that answers, so that it is always the newest.

const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));
const SCOPE = new URL(worker.registration.scope);
const OURS = `gatefrost ${SCOPE.href} `;
const CACHE = OURS + VERSION;
// How long the network may take to begin its answer, milliseconds.
const PATIENCE = 3000;

const addressOf = (/** @type {string} */ name) => new URL(name, SCOPE).href;

// Stores all files of this version or none. Files that differ from those of the build are refused by their hashes.
async function fill() {
  const cache = await caches.open(CACHE);
  const keep = async (/** @type {[string, string]} */ [name, integrity]) => {
    const response = await fetch(addressOf(name), { integrity, cache: "no-cache" });
    if (!response.ok) throw new Error(`${name}: ${response.status}`);
    // A redirected response may not answer the request of a page.
    await cache.put(addressOf(name), response.redirected ? new Response(await response.blob()) : response);
  };
  try {
    await Promise.all(Object.entries(FILES).map(keep));
  } catch (error) {
    await caches.delete(CACHE);
    throw error;
  }
  await worker.skipWaiting();
}

// Older versions are removed, and the open pages are told of the new one. A page that was loaded without a service worker
// gets this one, so that what it loads later comes from what is kept.
async function takeOver() {
  await worker.clients.claim();
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith(OURS) && name !== CACHE).map((name) => caches.delete(name)));
  for (const client of await worker.clients.matchAll({ includeUncontrolled: true })) client.postMessage({ version: VERSION });
}

/**
 * @param {Request} request
 * @param {string} name
 */
async function page(request, name) {
  const kept = async () => (await caches.open(CACHE)).match(addressOf(name));
  const patience = new AbortController();
  const timer = setTimeout(() => patience.abort(), PATIENCE);
  try {
    const response = await fetch(request, { cache: "no-cache", signal: patience.signal });
    return response.status < 500 ? response : ((await kept()) ?? response);
  } catch {
    return (await kept()) ?? Response.error();
  } finally {
    clearTimeout(timer);
  }
}

/** @param {Request} request */
async function part(request) {
  return (await caches.match(request, { ignoreVary: true })) ?? fetch(request);
}

worker.addEventListener("install", (event) => event.waitUntil(fill()));
worker.addEventListener("activate", (event) => event.waitUntil(takeOver()));
worker.addEventListener("fetch", (event) => {
  const { method, mode, url } = event.request;
  const { origin, pathname } = new URL(url);
  if (method !== "GET" || origin !== SCOPE.origin || !pathname.startsWith(SCOPE.pathname)) return;
  const name = pathname.slice(SCOPE.pathname.length).replace(/(^|\/)$/, "$1index.html");
  if (mode === "navigate" && Object.hasOwn(FILES, name)) event.respondWith(page(event.request, name));
  else if (/^[0-9a-f]{16}\//.test(name)) event.respondWith(part(event.request));
});

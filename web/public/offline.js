// On a tablet that came in over HTTPS: keeps the pages, and the cards that were open, for when the server is away. What is
// shown from here is what was there last; what is typed meanwhile is kept by the page itself.
const SHELL = "wheelgram-shell";
const CARDS = "wheelgram-cards";
const CARD = /^\/api\/v1\/jobs(\/[^/]+(\/(runs|earlier|changes))?)?$/;

self.addEventListener("install", (event) => event.waitUntil(self.skipWaiting()));
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== self.location.origin) return;
  if (request.mode === "navigate" && !/^\/(api|help)\//.test(pathname)) {
    event.respondWith(newest(request, SHELL, "/")); // one page stands behind every address
  } else if (/^\/(assets\/|mark\.svg$)/.test(pathname)) event.respondWith(kept(request));
  else if (CARD.test(pathname)) event.respondWith(newest(request, CARDS, request.url));
});

/** From the server, and where that does not answer what it said last. */
async function newest(request, name, key) {
  const cache = await caches.open(name);
  try {
    const response = await fetch(request);
    if (response.ok) await cache.put(key, response.clone());
    // Let go: nothing of the cards stays on the device.
    if (response.status === 401) await caches.delete(CARDS);
    return response;
  } catch (error) {
    const last = await cache.match(key);
    if (last) return last;
    throw error;
  }
}

/** Names of assets change with their content, so what is here is right. */
async function kept(request) {
  const cache = await caches.open(SHELL);
  const there = await cache.match(request);
  if (there) return there;
  const response = await fetch(request);
  if (response.ok) await cache.put(request, response.clone());
  return response;
}

// Keeps the page's files, so that it opens without a network. VERSION is put in
// when the page is built: another version is another set of files. What the player
// saved is not here and stays.
"use strict";

const kept = "key by key VERSION";

addEventListener("install", (e) => {
  // The server is asked whether each is still as the browser has it.
  e.waitUntil(caches.open(kept).then((c) => c.addAll(FILES.map((f) => new Request(f, { cache: "no-cache" })))).then(() => skipWaiting()));
});

addEventListener("activate", (e) => {
  e.waitUntil((async () => {
    for (const name of await caches.keys()) if (name.startsWith("key by key ") && name !== kept) await caches.delete(name);
    await clients.claim();
  })());
});

addEventListener("fetch", (e) => {
  const address = new URL(e.request.url);
  if (e.request.method !== "GET" || address.origin !== location.origin) return;
  e.respondWith(caches.open(kept).then(async (c) => (await c.match(e.request, { ignoreSearch: true })) || fetched(c, e.request)));
});

// Once a page is there it asks that the rest be kept, too.
let keeping;
addEventListener("message", (e) => {
  keeping ??= caches.open(kept).then(async (c) => {
    for (const f of LATER) if (!(await c.match(f))) await c.add(f);
  }).catch(() => {}).finally(() => { keeping = undefined; });
  e.waitUntil(keeping);
});

// fetched gets what is loaded only where it is asked for, and keeps it.
async function fetched(cache, request) {
  const answer = await fetch(request);
  if (answer.ok && LATER.includes(new URL(request.url).pathname.split("/").at(-1))) await cache.put(request, answer.clone());
  return answer;
}

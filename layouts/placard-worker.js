// Keeps placard.html on a phone, so that it opens without a network. A browser takes a service worker from a file of
// its own only, and only where the host is secure (https, or the phone itself). It keeps the page and nothing else:
// a placard's text is in the fragment of the address, which no request carries. It asks its own host as the phone's
// browser does, with that host's cookie: a desk gives the page to phones that it let in alone.
"use strict";
const KEPT = "tagmaker placard 1";
const without = (address) => address.split(/[?#]/)[0];

async function fetched(address) { // null where there is no network, or no such page
  try {
    const answer = await fetch(address, { cache: "no-cache", credentials: "same-origin", redirect: "error" });
    return answer.ok && /^text\/html/i.test(answer.headers.get("Content-Type") || "") ? answer : null;
  } catch (reason) {
    return null;
  }
}

async function renew(address) {
  const answer = await fetched(address);
  if (answer) await (await caches.open(KEPT)).put(address, answer);
  return Boolean(answer);
}

self.addEventListener("install", (event) => event.waitUntil(self.skipWaiting()));

self.addEventListener("activate", (event) => event.waitUntil((async () => {
  for (const name of await caches.keys()) {
    if (name.startsWith("tagmaker placard ") && name !== KEPT) await caches.delete(name);
  }
  await self.clients.claim();
})()));

self.addEventListener("message", (event) => { // the page asks for itself to be kept
  if (!event.source || !event.ports[0]) return;
  event.waitUntil(renew(without(event.source.url)).then((isKept) => event.ports[0].postMessage(isKept)));
});

self.addEventListener("fetch", (event) => {
  if (event.request.mode !== "navigate" || event.request.method !== "GET") return;
  const address = without(event.request.url);
  event.respondWith((async () => {
    const kept = await (await caches.open(KEPT)).match(address);
    if (!kept) return fetch(event.request);
    event.waitUntil(renew(address)); // the newest one at the next opening
    return kept;
  })());
});

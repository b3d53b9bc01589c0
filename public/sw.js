// Keeps the app on the device: one cache per version, fetched whole or not at all.
//
// The build writes the version and the list of files (urls relative to this file, each followed by the first 16 digits
// of its SHA-256) into the two lines below, and takes these remarks out. A new version takes over only when the page asks for it.
const VERSION = /*VERSION*/"dev";
const FILES = /*FILES*/[];

const PREFIX = "tailplate-";
const CACHE = PREFIX + VERSION;
const BASE = new URL("./", self.location).href;
const LISTED = new Set(FILES.map(([url]) => addressOf(url)));
const KEPT_HEADERS = [
  "content-type", "content-security-policy", "permissions-policy", "referrer-policy", "x-content-type-options",
  "cross-origin-opener-policy", "cross-origin-embedder-policy", "cross-origin-resource-policy",
];

self.addEventListener("install", (event) => event.waitUntil(fetchAll()));
self.addEventListener("activate", (event) => event.waitUntil(takeOver()));
self.addEventListener("message", (event) => {
  if (event.data && event.data.type === "take-over") self.skipWaiting();
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method === "POST" && url.origin + url.pathname === BASE + "share") {
    event.respondWith(takeShared(request));
    return;
  }
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  url.search = "";
  url.hash = "";
  const address = addressOf(url.href);
  // Whatever is not on the list goes to the network as if no worker were there: a missing file must stay missing, and
  // is never answered with the page.
  if (LISTED.has(address)) event.respondWith(answer(address, request));
});

// Fetches every file past the HTTP cache, and writes only when all are here and are the ones the build made. If not,
// the install fails and the old version serves on.
async function fetchAll() {
  const fetched = await Promise.all(FILES.map(fetchOne));
  const known = await caches.has(CACHE);
  const cache = await caches.open(CACHE);
  try {
    await Promise.all(fetched.map(({ address, response }) => cache.put(address, response)));
  } catch (why) {
    // No room: don't leave half of it lying about. A cache that was there already may be the one that serves.
    if (!known) await caches.delete(CACHE);
    throw why;
  }
}

async function fetchOne([url, hash]) {
  const address = addressOf(url);
  const response = await fetch(address, { cache: "reload" });
  if (!response.ok) throw new Error(`${url}: the server answered ${response.status}.`);
  const body = await response.arrayBuffer();
  if (!hex(await crypto.subtle.digest("SHA-256", body)).startsWith(hash)) {
    throw new Error(`${url} is not the file that version ${VERSION} was built with.`);
  }
  // A response made here is never a redirect, which one engine refuses for a page. Its type is kept, so that WASM
  // streams, and what guards the page; its encoding is not, since the body is plain by now.
  const headers = new Headers();
  for (const name of KEPT_HEADERS) {
    const value = response.headers.get(name);
    if (value) headers.set(name, value);
  }
  return { address, response: new Response(body, { headers }) };
}

// The page has one address, whether it is asked for by the folder's name or by its own.
function addressOf(url) {
  const { href } = new URL(url, BASE);
  return href === BASE + "index.html" ? BASE : href;
}

function hex(buffer) {
  return Array.from(new Uint8Array(buffer), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

// What another app shares waits in a cache of its own, which no new version clears, until the page has kept it.
async function takeShared(request) {
  const form = await request.formData();
  try {
    const waiting = await caches.open("shared-with-tailplate");
    let place = (await waiting.keys()).length;
    const keep = (response) => waiting.put(`${BASE}shared/${place++}`, response);
    const words = ["title", "text", "url"].map((name) => form.get(name)).filter((one) => typeof one === "string" && one);
    if (words.length > 0) await keep(new Response([...new Set(words)].join("\n"), { headers: { "content-type": "text/plain" } }));
    for (const photo of form.getAll("photos")) {
      if (photo instanceof File && photo.type.startsWith("image/")) {
        await keep(new Response(photo, { headers: { "content-type": photo.type } }));
      }
    }
  } catch {
    const told = "There is no room left on this device: what was shared is not kept. Make room, then share it again.";
    return new Response(told, { status: 507, headers: { "content-type": "text/plain; charset=utf-8" } });
  }
  return Response.redirect(BASE + "#/listing", 303);
}

// Only this app's old caches; another app on this host may have its own.
async function takeOver() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith(PREFIX) && name !== CACHE).map((name) => caches.delete(name)));
  await self.clients.claim();
}

async function answer(address, request) {
  const cache = await caches.open(CACHE);
  // The browser may have cleared the cache under us: then the network is the only answer.
  return (await cache.match(address)) ?? fetch(request);
}

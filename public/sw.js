// Keeps one build's program, style and an empty document on the phone, so that pages open without the server.
//
// The two marks below are filled in when the bundle is made. A newer build is fetched beside this one and
// waits until a person says so; its files and this one's are never mixed: each build has a cache of its own.
// Answers of /api are never kept; what a phone knows of the studio is in its own store, not here. Photos are named by
// what they hold, so a copy is as good as the server's: the phone's own is shown from its store, others once seen.

const BUILD = "BUILD_ID";
const ASSETS = ["ASSET_LIST"];
const CACHE = `tripoise-${BUILD}`;
const SHELL = "/shell";
// Pages of the server itself, or shown to one person only: never kept, and nothing stands in for them.
const SERVER_ONLY = ["/set-up", "/pair", "/devices", "/studio-ca."];
// Photos of others that were seen here. House choice: the last 60, some 30 MB. The name outlives the build.
const SEEN = "seen-photos";
const MOST_SEEN = 60;
// Asked for under the same name by every build: fresh where the server answers, else as they were.
const BY_NAME = ["/manifest.webmanifest", "/icon.svg", "/icon-192.png", "/icon-512.png"];
// House choice: how long a page may take before the phone shows its own; a page takes 15 ms on the server.
const PATIENCE_MS = 3000;

self.addEventListener("install", (event) => event.waitUntil(keepAllOrNothing()));

async function keepAllOrNothing() {
  try {
    await keep();
  } catch (problem) {
    // Half a build is no use: the one before goes on, and the next look at the server tries again.
    await caches.delete(CACHE);
    throw problem;
  }
}

async function keep() {
  const cache = await caches.open(CACHE);
  const one = async (path, how) => {
    const answer = await fetch(path, { cache: how });
    if (!answer.ok || answer.redirected) throw new Error(`${path}: ${answer.status}`);
    return answer;
  };
  // The document first: where the server has a newer build by now, nothing of this one is kept.
  const shell = await one(SHELL, "no-store");
  const text = await shell.clone().text();
  const programs = ASSETS.filter((path) => path.endsWith(".js") || path.endsWith(".css"));
  if (!programs.every((path) => text.includes(path))) throw new Error("the server has a newer build");
  await cache.put(SHELL, shell);
  await Promise.all(ASSETS.map(async (path) => cache.put(path, await one(path, "default"))));
  // Nice to have: without them the phone still opens every page.
  await Promise.allSettled(BY_NAME.map(async (path) => cache.put(path, await one(path, "no-cache"))));
}

self.addEventListener("activate", (event) => event.waitUntil(takeOver()));

async function takeOver() {
  for (const name of await caches.keys()) {
    if (name.startsWith("tripoise-") && name !== CACHE) await caches.delete(name);
  }
  await self.clients.claim();
}

// The tap on "Use it now". Without it, a newer build takes over when every tab is closed.
self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.pathname.startsWith("/api/") || SERVER_ONLY.some((start) => url.pathname.startsWith(start))) return;
  if (url.pathname.startsWith("/photos/")) event.respondWith(photo(event, url.pathname));
  else if (request.mode === "navigate") event.respondWith(page(event));
  else if (ASSETS.includes(url.pathname)) event.respondWith(file(request, url.pathname));
  else if (BY_NAME.includes(url.pathname)) event.respondWith(named(request, url.pathname));
});

// A page: the server's where it answers soon, else the empty document, which the program fills.
async function page(event) {
  const asked = fetch(event.request).catch(() => undefined);
  const late = new Promise((done) => setTimeout(done, PATIENCE_MS));
  const answer = await Promise.race([asked, late]);
  // A proxy in front of a server that is gone answers with one of these.
  if (answer && ![502, 503, 504].includes(answer.status)) return answer;
  const shell = await (await caches.open(CACHE)).match(SHELL);
  return shell ?? answer ?? (await asked) ?? Response.error();
}

// A photo: the phone's own copy, one seen before, or the server's.
async function photo(event, path) {
  const own = await ownPhoto(path.slice("/photos/".length));
  if (own) return own;
  const seen = await caches.open(SEEN);
  const kept = await seen.match(path);
  if (kept) return kept;
  const answer = await fetch(event.request);
  if (answer.ok && !answer.redirected) event.waitUntil(keepSeen(seen, path, answer.clone()));
  return answer;
}

async function keepSeen(seen, path, answer) {
  try {
    await seen.put(path, answer);
    const all = await seen.keys();
    await Promise.all(all.slice(0, -MOST_SEEN).map((old) => seen.delete(old)));
  } catch {
    // No room: it is shown all the same, and asked for again next time.
  }
}

// From the store that the program keeps (app/ui/src/browser/store.rs); nothing where it is not there.
function ownPhoto(hash) {
  return new Promise((done) => {
    const opening = indexedDB.open("tripoise");
    // There is no store yet, and none is made here.
    opening.onupgradeneeded = () => opening.transaction.abort();
    opening.onerror = () => done();
    opening.onsuccess = () => {
      const store = opening.result;
      const end = (answer) => {
        store.close();
        done(answer);
      };
      if (!store.objectStoreNames.contains("photo_files")) return end();
      const reading = store.transaction(["photos", "photo_files"]);
      const row = reading.objectStore("photos").get(hash);
      const file = reading.objectStore("photo_files").get(hash);
      reading.onabort = () => end();
      reading.oncomplete = () => {
        if (!row.result || !file.result) return end();
        const policy = "default-src 'none'; frame-ancestors 'none'";
        const headers = { "content-type": JSON.parse(row.result).media, "content-security-policy": policy };
        end(new Response(file.result, { headers: { ...headers, "x-content-type-options": "nosniff" } }));
      };
    };
  });
}

// A file of this build: it never changes under its name.
async function file(request, path) {
  const kept = await (await caches.open(CACHE)).match(path);
  return kept ?? fetch(request);
}

async function named(request, path) {
  try {
    return await fetch(request);
  } catch (problem) {
    const kept = await (await caches.open(CACHE)).match(path);
    if (kept) return kept;
    throw problem;
  }
}

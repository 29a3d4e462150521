// Without a signal. What is kept here reads the same for everyone: procedures and their drawings, and the pages to show
// them in. A page of a signed-in person is never kept: the next one to pick up this phone would see it.
// `shell` (its pages, the one for any other address, its files and their digest) is written above by the server.

const KEPT = "kept";
// The addresses, and nothing else, of forms that this phone holds for their owner.
const FORMS = "forms";
const SHELL = `shell-${shell.digest}`;
// How long a page that is kept is waited for: a weak signal can hang for minutes.
const PATIENCE = 8000;
// Whether the last page came from here: then its files do too, and do not wait one after the other.
let cut = false;

self.addEventListener("install", (event) => event.waitUntil(keepShell()));
self.addEventListener("activate", (event) => event.waitUntil(forgetShells()));
self.addEventListener("message", (event) => {
  const { keep, drop } = event.data;
  const done = keep ? keepText(keep) : dropTexts(folder(drop), null);
  event.waitUntil(done.then(() => event.ports[0].postMessage(true), () => event.ports[0].postMessage(false)));
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  // A form that is sent stays with the browser: nothing here could say whether it arrived.
  if (request.method !== "GET" || origin !== self.location.origin) return;
  if (request.mode === "navigate") event.respondWith(open(request, pathname));
  else if (shell.files.includes(pathname)) event.respondWith(file(request));
  else if (request.destination === "image") event.respondWith(drawing(request));
});

async function keepShell() {
  const cache = await caches.open(SHELL);
  await cache.addAll([...shell.pages, ...shell.files].map((one) => new Request(one, { credentials: "omit", cache: "reload" })));
  await self.skipWaiting();
}

async function forgetShells() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => ![KEPT, FORMS, SHELL].includes(name)).map((name) => caches.delete(name)));
  await self.clients.claim();
}

// The folder of a procedure holds its text and its drawings.
function folder(address) {
  return new URL("..", new URL(address, self.location.origin)).pathname;
}

async function fetched(address) {
  // A sign-in page in its place is no procedure.
  const answer = await fetch(address, { credentials: "same-origin", cache: "no-store", redirect: "error" });
  if (!answer.ok) throw new Error(`${answer.status}`);
  return answer;
}

// Keeps a text with all of its drawings, or nothing; the text comes last, so that what is listed is whole.
async function keepText(address) {
  const cache = await caches.open(KEPT);
  const text = await (await fetched(address)).text();
  const drawings = [...text.matchAll(/ src="([^"]+)"/g)].map((found) => found[1]);
  const answers = await Promise.all(drawings.map(fetched));
  await Promise.all(drawings.map((one, place) => cache.put(one, answers[place])));
  const headers = { "Content-Type": "text/html; charset=utf-8", "Kept-At": new Date().toISOString() };
  await cache.put(address, new Response(text, { headers }));
  // An older revision must not be worked to, so it goes.
  await dropTexts(folder(address), new URL(address, self.location.origin).search);
}

async function dropTexts(path, except) {
  const cache = await caches.open(KEPT);
  for (const request of await cache.keys()) {
    const { pathname, search } = new URL(request.url);
    if (pathname.startsWith(path) && search !== except) await cache.delete(request);
  }
}

// The kept page for an address: itself, or the one that stands in for it.
const pageAt = (pathname) => shell.pages.find((one) => one === pathname) ?? shell.instead[pathname];

async function isKept(pathname) {
  if (pageAt(pathname) || (await caches.match(pathname, { cacheName: FORMS }))) return true;
  const cache = await caches.open(KEPT);
  return Boolean(await cache.match(`${pathname}kept/`, { ignoreSearch: true, ignoreVary: true }));
}

async function open(request, pathname) {
  const answers = [fetch(request)];
  if (await isKept(pathname)) answers.push(new Promise((_, late) => setTimeout(late, PATIENCE)));
  try {
    const answer = await Promise.race(answers);
    // A site that is closed has its check page on this phone all the same.
    if (answer.status === 503 && pageAt(pathname)) throw answer;
    cut = false;
    return answer;
  } catch {
    cut = true;
    return caches.match(pageAt(pathname) ?? shell.page, { cacheName: SHELL, ignoreVary: true });
  }
}

async function file(request) {
  const kept = () => caches.match(request, { cacheName: SHELL, ignoreVary: true });
  return (cut && (await kept())) || fetch(request).catch(kept);
}

// A drawing belongs to its revision and never changes.
async function drawing(request) {
  return (await caches.match(request, { cacheName: KEPT, ignoreVary: true })) ?? fetch(request);
}

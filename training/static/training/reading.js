// Reading without a signal: has a procedure kept and says so, and fills the kept page. Words come from the template.

async function tell(worker, message) {
  await navigator.serviceWorker.register(worker);
  const { active } = await navigator.serviceWorker.ready;
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = (event) => resolve(event.data);
    active.postMessage(message, [port2]);
  });
}

async function keep(line) {
  const { worker, keep: address, drop, keepSays } = line.dataset;
  const done = await tell(worker, address ? { keep: address } : { drop });
  if (!done || !address) return;
  line.dataset.state = "kept";
  line.textContent = keepSays;
}

const LONG = [["day", 86400], ["hour", 3600], ["minute", 60]];
const language = document.documentElement.lang;

function ago(at) {
  const seconds = Math.max(0, (Date.now() - at) / 1000);
  const [unit, size] = LONG.find(([, long]) => seconds >= long) ?? LONG.at(-1);
  return new Intl.RelativeTimeFormat(language, { numeric: "always" }).format(-Math.floor(seconds / size), unit);
}

function age(words, at) {
  const shown = { day: "numeric", month: "short", year: "numeric", hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
  const parts = new Intl.DateTimeFormat(language, shown).formatToParts(at).map(({ type, value }) => [type, value]);
  const known = { ...Object.fromEntries(parts), ago: ago(at) };
  return words.replace(/\[(\w+)\]/g, (_, name) => known[name]);
}

async function texts() {
  const cache = await caches.open("kept");
  const found = [];
  for (const request of await cache.keys()) {
    const { pathname } = new URL(request.url);
    if (!pathname.endsWith("/kept/")) continue;
    const answer = await cache.match(request, { ignoreVary: true });
    const { body } = new DOMParser().parseFromString(await answer.text(), "text/html");
    const article = body.querySelector("article");
    found.push({ path: pathname.slice(0, -"kept/".length), article, at: new Date(answer.headers.get("Kept-At")) });
  }
  return found;
}

function show(shelf, { article, at }) {
  const title = article.querySelector("h1").textContent;
  document.title = `${title} – ${shelf.dataset.site}`;
  shelf.querySelector("[data-age]").textContent = age(shelf.dataset.ageSays, at);
  shelf.querySelector("[data-text]").replaceChildren(article);
  shelf.querySelector("[data-one]").hidden = false;
  shelf.querySelector("[data-all]").remove();
  document.getElementById(window.location.hash.slice(1))?.scrollIntoView();
}

function line(shelf, { path, article, at }) {
  const row = shelf.querySelector("[data-row]").content.cloneNode(true);
  const link = row.querySelector("a");
  link.href = path;
  link.textContent = article.querySelector("h1").textContent;
  row.querySelector("[data-issue]").textContent = article.querySelector("[data-issue]").textContent;
  row.querySelector("[data-age]").textContent = age(shelf.dataset.ageSays, at);
  return row;
}

async function fill(shelf) {
  const found = "caches" in window ? await texts() : [];
  const asked = found.find(({ path }) => path === window.location.pathname);
  if (asked) return show(shelf, asked);
  shelf.querySelector("[data-cut]").hidden = window.location.pathname === shelf.dataset.shelf;
  shelf.querySelector("[data-none]").hidden = found.length > 0;
  shelf.querySelector("[data-list]").replaceChildren(...found.map((one) => line(shelf, one)));
}

const kept = document.querySelector("[data-worker]");
if (kept && "serviceWorker" in navigator) keep(kept);
const shelf = document.querySelector("[data-shelf]");
if (shelf) fill(shelf);

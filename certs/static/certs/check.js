// The check of a card. What a code says is judged on this phone at once, then by the register where it can be reached.
// The keys and the list of cards are kept for where there is no signal. Every word shown comes from the template.

const page = document.querySelector("[data-check]");
const part = (name) => page.querySelector(`[data-${name}]`);
const PATIENCE = 8000;
const LIST = "cards=";

const { Refused, hex, openCard, openKeys, openStatuses } = await import(page.dataset.moduleSigned);
const { verdict } = await import(page.dataset.moduleVerdict);

// What is kept: the public root key, the two lists as they were signed, and the latest moment any of them told.
const kept = {
  read() {
    try {
      return JSON.parse(localStorage.getItem("check")) ?? {};
    } catch {
      return {}; // a phone that keeps nothing checks with a signal only
    }
  },
  write(found) {
    try {
      localStorage.setItem("check", JSON.stringify(found));
    } catch {
      // As above: what was read holds for as long as this page is open.
    }
  },
};
const known = { keys: null, list: null, latest: 0 };

const bytes = (text) => Uint8Array.from(text.match(/../g) ?? [], (pair) => parseInt(pair, 16));
const now = () => Math.floor(Date.now() / 1000);
const today = () => Math.floor((now() - new Date().getTimezoneOffset() * 60) / 86400);
const quiet = (error) => {
  if (!(error instanceof Refused)) throw error;
  return null;
};

const language = document.documentElement.lang === "en" ? "en-GB" : document.documentElement.lang;
const written = (options) => new Intl.DateTimeFormat(language, { day: "numeric", month: "short", year: "numeric", ...options });
const dayOf = (number) => written({ timeZone: "UTC" }).format(number * 86400000);
const momentOf = (seconds) => written({ hour: "2-digit", minute: "2-digit" }).format(seconds * 1000);
const says = (name, facts = {}) =>
  page.dataset[`${name}Says`].replace(/\[(\w+)\]/g, (_whole, fact) => facts[fact]);

// A list of a key that is broken, or was put away before it was made, is no list.
function trusted(list, keys) {
  const entry = keys.keys.get(list.key);
  return entry.broken === null && Math.floor(list.made / 86400) <= entry.to ? list : null;
}

async function load(found) {
  // An address without encryption gives no page the means to verify anything.
  if (!window.crypto?.subtle) return found;
  const root = bytes(found.root ?? "");
  known.keys = found.keys ? await openKeys(found.keys, root, page.dataset.verifier).catch(quiet) : null;
  const keys = new Map([...(known.keys?.keys ?? [])].map(([name, key]) => [name, key.bytes]));
  const list = found.cards ? await openStatuses(found.cards, keys, page.dataset.verifier).catch(quiet) : null;
  known.list = list && trusted(list, known.keys);
  known.latest = Math.max(found.latest ?? 0, known.keys?.made ?? 0, known.list?.made ?? 0);
  return { ...found, latest: known.latest };
}

// Takes what is newer, never what is older: a lower number is refused, and so is what was not signed.
async function take(offered) {
  const before = kept.read();
  const same = !before.root || before.root === offered.root;
  const old = same ? { ...before } : { root: offered.root, latest: before.latest };
  await load(old);
  const [keysBefore, listBefore] = [known.keys?.sequence ?? 0, known.list?.sequence ?? 0];
  await load({ ...old, ...offered });
  const next = { ...old, root: offered.root };
  if (known.keys && known.keys.sequence >= keysBefore) next.keys = offered.keys;
  await load({ ...next, cards: offered.cards });
  const taken = Boolean(known.list && known.list.sequence >= listBefore);
  if (taken) next.cards = offered.cards;
  kept.write(await load(next));
  showAge();
  return taken;
}

function showAge() {
  const line = part("age");
  if (!known.keys) line.textContent = says("nokeys");
  else if (!known.list) line.textContent = says("nolistyet");
  else line.textContent = age(known.list);
}

function age(list) {
  const hours = Math.floor((now() - list.made) / 3600);
  const facts = { made: momentOf(list.made), until: momentOf(list.goodUntil), number: hours < 48 ? hours : Math.floor(hours / 24) };
  if (hours < 0) return says("ahead", facts);
  return says(hours < 48 ? "hours" : "days", facts);
}

async function judge(code) {
  const keys = new Map([...(known.keys?.keys ?? [])].map(([name, key]) => [name, key.bytes]));
  let why = known.keys ? "forged" : "nokeys";
  const card = await openCard(code, keys, page.dataset.verifier).catch((error) => {
    if (!(error instanceof Refused)) throw error;
    if (known.keys && error.message === "key") why = "unknown";
    return null;
  });
  const entry = card && known.keys.keys.get(card.key);
  const { list, latest } = known;
  return { card, ...verdict({ card, why, entry, list, now: now(), day: today(), latest }) };
}

function show({ card, answer, reasons }, asked) {
  const [line, list, face] = [part("answer"), part("reasons"), part("face")];
  line.className = `answer answer-${answer}`;
  line.textContent = says(answer);
  const rows = reasons.map(([name, day]) => says(name, { day: day === undefined ? "" : dayOf(day) }));
  list.replaceChildren(...rows.map((row) => Object.assign(document.createElement("li"), { textContent: row })));
  part("next").textContent = says(`${answer}Next`);
  part("asked").textContent = says(asked);
  face.hidden = !card;
  if (card) {
    const facts = { holder: card.holder, number: card.number, scheme: card.scheme };
    const days = { from: card.validFrom, last: card.lastDay, confirm: card.confirmBy };
    for (const [name, words] of Object.entries(facts)) part(name).textContent = words;
    for (const [name, day] of Object.entries(days)) part(name).textContent = dayOf(day);
  }
  part("compare").hidden = !card || answer === "refuse";
  part("register").replaceChildren();
  part("result").hidden = part("outcome").hidden = false;
  part("heading").focus();
}

// What the register answers about a number, or null where it cannot be asked.
async function ask(card) {
  try {
    const options = { credentials: "omit", cache: "no-store", signal: AbortSignal.timeout(PATIENCE) };
    const answer = await fetch(page.dataset.number.replace("NUMBER", card.number), options);
    if (!answer.ok) return null;
    return new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("[data-register]");
  } catch {
    return null;
  }
}

function agree(card, answer) {
  return !answer.dataset.number || (answer.dataset.holder === card.holder && answer.dataset.lastDay === dayIso(card.lastDay));
}

const dayIso = (number) => new Date(number * 86400000).toISOString().slice(0, 10);

async function check(code) {
  const form = document.querySelector("form[data-code]");
  // Without keys nothing can be judged here; a page that came from the site just now can ask it.
  if (!known.keys && form) {
    form.elements.code.value = code;
    return form.submit();
  }
  const found = await judge(code);
  if (!found.card) return show(found, "onphone");
  show(found, "asking");
  const answer = await ask(found.card);
  if (!answer) return show(found, "unasked");
  if (!agree(found.card, answer)) {
    const stops = found.answer === "refuse" ? found.reasons : [];
    return show({ ...found, answer: stops.length ? "refuse" : "telephone", reasons: [...stops, ["differs"]] }, "asked");
  }
  // A broken key makes a code worthless whatever the register says of the number.
  if (found.answer === "refuse" && found.reasons.some(([why]) => ["broken", "late", "young"].includes(why))) return show(found, "asked");
  part("result").hidden = true;
  part("register").replaceChildren(...answer.children);
  return part("heading").focus();
}

async function read(text) {
  const code = text.replace(/\s/g, "").split("#").pop();
  if (!code.startsWith(LIST)) return check(code);
  const { root, keys } = kept.read();
  const taken = await take({ root, keys, cards: code.slice(LIST.length) });
  part("scanned").textContent = says(taken ? "taken" : "nottaken");
  return undefined;
}

async function update() {
  try {
    const answer = await fetch(page.dataset.lists, { credentials: "omit", cache: "no-store", signal: AbortSignal.timeout(PATIENCE) });
    const offered = answer.ok ? await answer.json() : {};
    if (offered.root && offered.keys) await take(offered);
  } catch {
    // No signal: what is kept has to do.
  }
}

function offerCamera() {
  const button = part("scan");
  const view = part("view");
  let stop = null;
  button.hidden = !navigator.mediaDevices?.getUserMedia;
  part("nocamera").hidden = !button.hidden;
  button.addEventListener("click", async () => {
    if (stop) return stop.abort();
    stop = new AbortController();
    view.hidden = false;
    button.textContent = says("stop");
    part("scanned").textContent = says("looking");
    try {
      const { scan } = await import(page.dataset.moduleCamera);
      const text = await scan(view, page.dataset.decoder, stop.signal);
      part("scanned").textContent = "";
      if (text) await read(text);
    } catch {
      part("scanned").textContent = says("refused");
    } finally {
      stop = null;
      view.hidden = true;
      button.textContent = says("scan");
    }
    return undefined;
  });
}

async function fromAddress() {
  const code = window.location.hash.slice(1);
  if (!code) return;
  window.history.replaceState(null, "", window.location.pathname);
  await read(code);
}

kept.write(await load(kept.read()));
showAge();
offerCamera();
if (new URLSearchParams(window.location.search).has("number") && !document.querySelector("[name=number]")) {
  part("scanned").textContent = says("numberless");
}
navigator.serviceWorker?.register(page.dataset.sw).catch(() => undefined);
document.querySelector("form[data-code]")?.addEventListener("submit", async (event) => {
  event.preventDefault();
  await read(event.target.elements.code.value);
});
window.addEventListener("hashchange", fromAddress);
if (!known.keys) await update();
await fromAddress();
await update();
page.dataset.state = "ready";

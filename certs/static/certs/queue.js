// Sends what waits on this phone, and says on every page how much that is. Words come from the template.
// A record leaves the phone only when the answer names it as kept; all other answers leave it here.

const phone = document.querySelector("[data-phone]");
const store = await import(phone.dataset.moduleStore);

const EVERY = 15000;
const PATIENCE = 30000;
const DAY = 86400000;
// Where a record may be sent: to the room that receives it, under its own key. A loaded file must not say otherwise.
const RECEIVED = /^\/[a-z]+\/received\/([0-9a-f-]{36})\/$/;

export const fits = (send, id) => RECEIVED.exec(send)?.[1] === id;

export function words(text, facts) {
  return text.replace(/\[(\w+)\]/g, (_, name) => facts[name]);
}

export function counted(one, many, number) {
  const kind = new Intl.PluralRules(document.documentElement.lang).select(number);
  return words(kind === "one" ? one : many, { number });
}

export function make(name, facts = {}, ...inside) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(facts)) made.setAttribute(key, value);
  made.append(...inside);
  return made;
}

const LONG = [["day", DAY], ["hour", 3600000], ["minute", 60000]];

export function age(at) {
  const passed = Math.max(0, Date.now() - at);
  const [unit, size] = LONG.find(([, long]) => passed >= long) ?? LONG.at(-1);
  const shown = { style: "unit", unit, unitDisplay: "long" };
  return new Intl.NumberFormat(document.documentElement.lang, shown).format(Math.floor(passed / size));
}

export const isOld = (at) => Date.now() - at >= DAY;

// Who is signed in, with a token to post with; null when signed out, undefined when nobody answers.
export async function who() {
  try {
    const signal = AbortSignal.timeout(PATIENCE);
    const reply = await fetch(phone.dataset.who, { redirect: "manual", cache: "no-store", signal });
    if (reply.type === "opaqueredirect") return null;
    return reply.ok ? await reply.json() : undefined;
  } catch {
    return undefined;
  }
}

async function post(send, body, type, token) {
  const headers = { "Content-Type": type, "X-CSRFToken": token, Accept: "application/json" };
  const signal = AbortSignal.timeout(PATIENCE);
  // A sign-in page in its place is no answer.
  const reply = await fetch(send, { method: "POST", body, headers, redirect: "manual", cache: "no-store", signal });
  return { status: reply.status, answer: await reply.json().catch(() => ({})) };
}

// Sends one record or photo; false when it is no use to go on.
async function sendOne(name, one, request, session) {
  const { status, answer } = await post(...request, session.token);
  if ((status === 200 || status === 201) && answer.kept === one.id) await store.settle(name, one);
  else if (status === 422 && Array.isArray(answer.problems)) await store.mark(name, one, "needs", answer.problems);
  else if (status === 409) {
    // Somebody else may have signed in a moment ago: then it is not this record that does not fit.
    if ((await who())?.person !== one.owner) return false;
    await store.mark(name, one, "refused", []);
  }
  return status !== 0 && status !== 503;
}

function about(photo) {
  const facts = { made_by: photo.owner, kind: photo.kind, record: photo.record, taken: photo.taken };
  return `${photo.send}?${new URLSearchParams(facts)}`;
}

async function sendAll(person, every) {
  const session = await who();
  if (!session) return session === null ? "signed-out" : "no-signal";
  if (session.person !== person) return "other";
  const due = ({ state }) => state === "waiting" || (every && state === "refused");
  try {
    for (const record of (await store.recordsOf(person)).filter(due).sort((one, other) => one.at - other.at)) {
      if (!fits(record.send, record.id)) continue;
      if (!(await sendOne("records", record, [record.send, record.body, "application/json"], session))) return "busy";
    }
    // A photo follows its record.
    const still = new Set((await store.recordsOf(person)).map(({ id }) => id));
    for (const photo of (await store.photosOf(person)).filter(due)) {
      if (still.has(photo.record) || !fits(photo.send, photo.id)) continue;
      if (!(await sendOne("photos", photo, [about(photo), photo.blob, "image/jpeg"], session))) return "busy";
    }
  } catch {
    return "no-signal";
  }
  return "sent";
}

// One tab at a time where the browser can tell; where not, the key of each record makes a second sending harmless.
// Whoever `asked` waits for a turn: the one who is sending now may have begun before the record was there.
export async function flush({ every = false, asked = false } = {}) {
  const person = await store.owner();
  if (person === null) return "nobody";
  const { records, photos } = await store.waitingOf(person);
  let done = "empty";
  if (records.length || photos.length) {
    const run = () => sendAll(person, every);
    done = navigator.locks
      ? await navigator.locks.request("ferrule-queue", { ifAvailable: !asked }, (lock) => (lock ? run() : "busy"))
      : await run();
  }
  await tell();
  document.dispatchEvent(new CustomEvent("ferrule-queue", { detail: done }));
  return done;
}

export async function tell() {
  const line = phone.querySelector("[data-line]");
  const person = await store.owner();
  const { records, photos } = person === null ? { records: [], photos: [] } : await store.waitingOf(person);
  const number = records.length || photos.length;
  line.hidden = !number;
  if (!number) return;
  const oldest = Math.min(...[...records, ...photos].map(({ at }) => at));
  const { oneSays, manySays, photoSays, photosSays, oldSays, needsOneSays, needsManySays } = line.dataset;
  const needs = [...records, ...photos].filter(({ state }) => state !== "waiting").length;
  const parts = [
    records.length ? counted(oneSays, manySays, number) : counted(photoSays, photosSays, number),
    words(oldSays, { age: age(oldest) }),
  ];
  if (needs) parts.push(counted(needsOneSays, needsManySays, needs));
  line.querySelector("a").textContent = parts.join(" ");
  line.classList.toggle("message-warning", isOld(oldest) || needs > 0);
}

// Leaving with something unsent is asked once more, counted at the click: another tab may have kept or sent since.
async function askBeforeLeaving(event) {
  const form = event.target;
  if (form.getAttribute("action") !== phone.dataset.leave) return;
  event.preventDefault();
  const person = Number(phone.dataset.person);
  try {
    const { records, photos } = await store.waitingOf(person);
    const begun = await store.draftsOf(person);
    if (records.length + photos.length + begun.length && form.dataset.asked !== "yes") {
      form.dataset.asked = "yes";
      const says = document.createElement("p");
      says.className = "message message-warning";
      says.setAttribute("role", "alert");
      const { leaveOneSays, leaveManySays } = phone.dataset;
      says.textContent = counted(leaveOneSays, leaveManySays, records.length + begun.length || photos.length);
      form.prepend(says);
      form.querySelector("button").textContent = phone.dataset.leaveSays;
      return;
    }
    await store.setOwner(null);
    await window.caches?.delete("forms");
  } catch {
    // A phone that keeps nothing has nothing to ask about.
  }
  // Sent this way it does not ask again.
  form.submit();
}

async function begin() {
  if (phone.dataset.person) {
    await store.setOwner(Number(phone.dataset.person));
    // Where it is refused the queue works all the same, only not on a cold start without a signal.
    navigator.serviceWorker?.register(phone.dataset.sw).catch(() => undefined);
  }
  document.addEventListener("submit", askBeforeLeaving);
  if (document.querySelector("form[data-queue], [data-shelf]")) await (await import(phone.dataset.moduleHeld)).begin();
  if (document.querySelector("[data-waiting]")) await (await import(phone.dataset.moduleWaiting)).begin();
  window.addEventListener("online", () => flush());
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && flush());
  setInterval(flush, EVERY);
  await flush();
}

// The other modules import this one, so it is whole before it begins.
if ("indexedDB" in window) queueMicrotask(begin);

// The page 'Waiting on this phone': how much, how old, what needs its maker and why; sending, a file to save and to load.

const phone = document.querySelector("[data-phone]");
const store = await import(phone.dataset.moduleStore);
const queue = await import(phone.dataset.moduleQueue);
const page = document.querySelector("[data-waiting]");
const says = page.dataset;
const part = (name) => page.querySelector(`[data-${name}]`);

const FORMAT = "ferrule waiting records";
const SIGNAL = {
  sent: "signalSays", busy: "busySays", "no-signal": "noSignalSays",
  "signed-out": "signedOutSays", nobody: "signedOutSays", other: "otherSays",
};

function line(name, facts) {
  const row = part(`${name}-row`).content.cloneNode(true);
  for (const [key, value] of Object.entries(facts)) row.querySelector(`[data-${key}]`).textContent = value;
  return row;
}

const kindOf = ({ kind }) => says[`kind${kind[0].toUpperCase()}${kind.slice(1)}`] ?? says.kind;

// Enough to tell one record from another, and nothing that names anybody.
function about({ fields = [] }) {
  const told = new Map(fields);
  return ["done_on", "assessed_on", "place", "bonds"].map((name) => told.get(name)).filter(Boolean).join(", ");
}

// The form is not open here, so a sentence without the name of its field would be about nothing.
const sentence = ({ name, says: told }) => (name ? `${name}: ${told}` : told);

function needing(one) {
  const isPhoto = "blob" in one;
  const words = one.state === "refused" ? [says.refusedSays] : one.says.map(sentence);
  const row = line("needs", { kind: isPhoto ? says.photo : kindOf(one), about: about(one), age: queue.age(one.at) });
  row.querySelector("[data-why]").replaceChildren(...words.map((told) => {
    const item = document.createElement("li");
    item.textContent = told;
    return item;
  }));
  const right = row.querySelector("[data-right]");
  // Another key would be another record: what was refused can be sent again or taken off, not changed.
  if (isPhoto || one.state === "refused") right.remove();
  else right.href = `${one.path}?record=${one.id}`;
  const out = row.querySelector("[data-remove]");
  out.addEventListener("click", async () => {
    if (out.dataset.asked !== "yes") {
      out.dataset.asked = "yes";
      out.textContent = says.sureSays;
      return;
    }
    await (isPhoto ? store.dropPhoto(one.id) : store.dropRecord(one.id));
    await show();
  });
  return row;
}

async function show() {
  const person = await store.owner();
  const { records, photos } = person === null ? { records: [], photos: [] } : await store.waitingOf(person);
  const begun = person === null ? [] : await store.draftsOf(person);
  const every = [...records, ...photos].sort((one, other) => one.at - other.at);
  part("count").textContent = every.length
    ? `${queue.counted(says.oneSays, says.manySays, records.length)} ${queue.counted(says.photoSays, says.photosSays, photos.length)}`
    : says.noneSays;
  part("oldest").hidden = !every.length;
  if (every.length) {
    const old = queue.isOld(every[0].at);
    part("oldest").className = old ? "message message-warning" : "";
    part("oldest").textContent = queue.words(old ? says.oldSays : says.oldestSays, { age: queue.age(every[0].at) });
  }
  fill("needs", every.filter(({ state }) => state !== "waiting").map(needing));
  fill("queue", every.filter(({ state }) => state === "waiting").map((one) =>
    line("queue", { kind: "blob" in one ? says.photo : kindOf(one), about: about(one), age: queue.age(one.at) })));
  fill("begun", begun.map((one) => {
    const row = line("begun", { kind: kindOf(one), about: about(one), age: queue.age(one.at) });
    row.querySelector("a").href = one.path;
    return row;
  }));
  await queue.tell();
}

function fill(name, rows) {
  part(name).hidden = !rows.length;
  part(name).querySelector("ul").replaceChildren(...rows);
}

async function toText(blob) {
  const reader = new FileReader();
  await new Promise((resolve, reject) => {
    reader.onload = resolve;
    reader.onerror = () => reject(reader.error);
    reader.readAsDataURL(blob);
  });
  return reader.result.slice(reader.result.indexOf(",") + 1);
}

async function save() {
  const person = await store.owner();
  const { records, photos } = person === null ? { records: [], photos: [] } : await store.waitingOf(person);
  const written = await Promise.all(photos.map(async ({ blob, ...rest }) => ({ ...rest, jpeg: await toText(blob) })));
  const held = { format: FORMAT, version: 1, owner: person, records, photos: written };
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([JSON.stringify(held)], { type: "application/json" }));
  link.download = `ferrule-${new Date().toISOString().slice(0, 16).replace(/:/g, "")}.json`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

const isText = (...values) => values.every((value) => typeof value === "string");

function readRecord({ id, owner, path, kind, send, body, fields, at }) {
  const pairs = Array.isArray(fields) && fields.every((pair) => Array.isArray(pair) && isText(...pair));
  if (!isText(id, path, kind, send, body) || !pairs || !Number.isFinite(at)) throw new Error("record");
  if (!queue.fits(send, id) || JSON.parse(body).made_by !== owner || !/^\/(?!\/)/.test(path)) throw new Error("record");
  return { id, owner, path, kind, send, body, fields, at, state: "waiting", says: [] };
}

function readPhoto({ id, owner, record, kind, field, taken, send, at, jpeg }) {
  if (!isText(id, record, kind, field, taken, send, jpeg) || !Number.isFinite(at)) throw new Error("photo");
  if (!queue.fits(send, id)) throw new Error("photo");
  const bytes = Uint8Array.from(atob(jpeg), (letter) => letter.charCodeAt(0));
  const blob = new Blob([bytes], { type: "image/jpeg" });
  return { id, owner, record, kind, field, taken, send, at, blob, state: "waiting", says: [] };
}

async function load(file) {
  const person = await store.owner();
  try {
    const held = JSON.parse(await file.text());
    if (held.format !== FORMAT || held.version !== 1) throw new Error("format");
    const rows = [...held.records, ...held.photos];
    if (person === null || held.owner !== person || rows.some(({ owner }) => owner !== person)) return says.notYoursSays;
    await store.load(held.records.map(readRecord), held.photos.map(readPhoto));
    return queue.counted(says.loadedOneSays, says.loadedManySays, rows.length);
  } catch {
    return says.badFileSays;
  }
}

// With nothing to send there was nothing to find out by sending.
async function found(done) {
  if (done !== "empty") return done;
  const session = await queue.who();
  if (!session) return session === null ? "signed-out" : "no-signal";
  return session.person === (await store.owner()) ? "sent" : "other";
}

async function told(done) {
  const words = SIGNAL[await found(done)];
  part("signal").dataset.state = words === "signalSays" ? "kept" : "not-kept";
  part("signal").textContent = says[words];
  part("sign-in").hidden = words !== "signedOutSays";
}

export async function begin() {
  part("ready").hidden = false;
  part("send").addEventListener("click", () => queue.flush({ every: true, asked: true }));
  part("save").addEventListener("click", save);
  part("load").addEventListener("change", async ({ target }) => {
    const [file] = target.files;
    target.value = "";
    if (!file) return;
    part("loaded").textContent = await load(file);
    await queue.flush();
  });
  document.addEventListener("ferrule-queue", async ({ detail }) => {
    await show();
    await told(detail);
  });
  await show();
}

// Forms that this phone keeps: `<form data-queue="kind" data-record="key" data-send="address" data-made-by="number">`.
// What is typed is kept at once; the button that keeps the record (`data-keep`, or any where none has it) puts it in the
// queue. A form opened once with a signal can be opened without one: the shell shows what is held of it. A form with
// `data-script` names a module whose `begin(form)` is called first; it hears "begun" with what is about to come back.

const phone = document.querySelector("[data-phone]");
const store = await import(phone.dataset.moduleStore);
const queue = await import(phone.dataset.moduleQueue);
const says = phone.querySelector("[data-words]").dataset;

const LONGEST = 1600;
const QUALITY = 0.85;
const MOST = 12;
const NEVER = new Set(["password", "file", "submit", "button", "image", "reset"]);

function localDay(at) {
  const two = (number) => String(number).padStart(2, "0");
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}

function make(name, facts = {}, ...inside) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(facts)) made.setAttribute(key, value);
  made.append(...inside);
  return made;
}

// --- what is typed

const kept = (field) => field.name && field.name !== "csrfmiddlewaretoken" && !NEVER.has(field.type);
const ticked = (field) => field.type === "checkbox" || field.type === "radio";

function typed(form) {
  const pairs = [];
  for (const field of [...form.elements].filter(kept)) {
    if (field.type === "select-multiple") for (const one of field.selectedOptions) pairs.push([field.name, one.value]);
    else if (!ticked(field) || field.checked) pairs.push([field.name, field.value]);
  }
  return pairs;
}

function restore(form, pairs) {
  const values = new Map();
  for (const [name, value] of pairs) values.set(name, [...(values.get(name) ?? []), value]);
  for (const field of [...form.elements].filter(kept)) {
    const told = values.get(field.name) ?? [];
    if (ticked(field)) field.checked = told.includes(field.value);
    else if (field.type === "select-multiple") for (const one of field.options) one.selected = told.includes(one.value);
    else if (told.length) field.value = told.shift();
  }
}

function asFields(pairs) {
  const fields = {};
  for (const [name, value] of pairs) fields[name] = name in fields ? [fields[name], value].flat() : value;
  return fields;
}

// Each record has a key of its own, wherever the form names it.
function rename(form, key) {
  const old = form.dataset.record;
  for (const field of form.elements) if (field.type === "hidden" && field.value === old) field.value = key;
  form.dataset.send = form.dataset.send.replace(old, key);
  form.dataset.record = key;
}

// The day a form was laid out is not the day it is filled in.
function freshen(form, since) {
  const then = localDay(since);
  for (const field of form.querySelectorAll("input[type=date]")) {
    if (field.defaultValue === then) field.value = localDay(new Date());
  }
}

// --- photos

async function shrink(file) {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = make("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
  if (blob?.type !== "image/jpeg") throw new Error("no JPEG");
  return blob;
}

class Filled {
  constructor(form, since) {
    Object.assign(this, { form, since, owner: Number(form.dataset.madeBy), kind: form.dataset.queue });
    this.path = window.location.pathname;
    this.line = make("p", { class: "kept", "data-kept": "" });
    this.told = make("div", { role: "status", tabindex: "-1" });
    const actions = [...form.querySelectorAll(".actions")].at(-1);
    actions.before(this.line);
    form.before(this.told);
    this.lists = new Map();
    for (const input of form.querySelectorAll("input[type=file]")) this.takePhotos(input);
    form.addEventListener("input", (event) => event.target.type !== "file" && this.keep());
    form.addEventListener("submit", (event) => this.submit(event));
  }

  get key() {
    return this.form.dataset.record;
  }

  // --- begun

  async start() {
    // A form may bring a script of its own: it is there before what was typed comes back.
    if (this.form.dataset.script) (await import(this.form.dataset.script)).begin(this.form);
    const wanted = new URLSearchParams(window.location.search).get("record");
    const record = wanted && (await store.recordOf(wanted));
    const begun = record?.owner === this.owner ? ((await store.draftOf(wanted)) ?? record) : await this.free();
    if (!begun) return this.claim(this.key);
    rename(this.form, begun.id);
    this.form.dispatchEvent(new CustomEvent("begun", { detail: begun.fields }));
    restore(this.form, begun.fields);
    await this.showPhotos();
    this.back(record ? record.says : []);
  }

  // A form begun here before, unless another tab has it open.
  async free() {
    const begun = (await store.draftsOf(this.owner)).filter(({ path }) => path === this.path);
    for (const draft of begun.sort((one, other) => other.at - one.at)) if (await this.claim(draft.id)) return draft;
    return null;
  }

  // Holds a begun form for as long as this page is open; false when another tab holds it.
  claim(key) {
    this.letGo?.();
    if (!navigator.locks) return Promise.resolve(true);
    return new Promise((resolve) => {
      navigator.locks.request(`ferrule-${key}`, { ifAvailable: true }, (lock) => {
        resolve(Boolean(lock));
        return lock && new Promise((letGo) => (this.letGo = letGo));
      });
    });
  }

  back(problems) {
    const again = make("button", { type: "button", class: "btn btn-small" }, says.emptySays);
    again.addEventListener("click", async () => {
      await store.dropDraft(this.key);
      window.location.assign(this.path);
    });
    const list = make("ul", {}, ...problems.map((one) => make("li", {}, this.sentence(one))));
    this.told.replaceChildren(make("p", { class: "message message-info" }, problems.length ? says.rightSays : says.backSays));
    this.told.append(problems.length ? list : make("p", {}, again));
  }

  sentence({ field, says: sentence }) {
    const label = field && this.form.querySelector(`label[for="id_${CSS.escape(field)}"], #div_id_${CSS.escape(field)} legend`);
    // Without the mark of a required field, which no label shows here.
    const words = [...(label?.childNodes ?? [])].filter(({ className }) => className !== "asteriskField");
    const name = words.map(({ textContent }) => textContent).join("").trim();
    return name ? `${name}: ${sentence}` : sentence;
  }

  // --- kept as it is typed; one write at a time, and the last one holds everything

  keep() {
    this.changed = true;
    this.state("", "");
    this.writing ??= this.write().finally(() => (this.writing = null));
    return this.writing;
  }

  async write() {
    while (this.changed) {
      this.changed = false;
      const { owner, path, kind, key } = this;
      try {
        await store.keepDraft({ id: key, owner, path, kind, fields: typed(this.form), at: Date.now() });
        if (!this.changed) this.state("kept", says.keptSays);
      } catch {
        this.state("not-kept", says.notKeptSays);
      }
    }
  }

  state(name, text) {
    if (name) this.line.dataset.state = name;
    else delete this.line.dataset.state;
    this.line.textContent = text;
  }

  // --- photos

  takePhotos(input) {
    const list = make("ul", { class: "list", "data-photos": input.name });
    input.after(list);
    this.lists.set(input.name, list);
    input.addEventListener("change", async () => {
      const files = [...input.files];
      input.value = "";
      // One after the other, and a record waits for its own.
      for (const file of files) this.drawing = (this.drawing ?? Promise.resolve()).then(() => this.addPhoto(input.name, file));
    });
  }

  async addPhoto(field, file) {
    const list = this.lists.get(field);
    if (list.querySelectorAll("img").length >= MOST) return this.wrong(list, says.photosSays);
    this.state("", "");
    let blob;
    try {
      blob = await shrink(file);
    } catch {
      return this.wrong(list, says.photoSays);
    }
    const id = crypto.randomUUID();
    const send = phone.dataset.photos.replace(phone.dataset.photoKey, id);
    const taken = new Date(file.lastModified).toISOString();
    const facts = { owner: this.owner, record: this.key, kind: this.kind, field, taken, at: Date.now() };
    try {
      await store.keepPhoto({ id, ...facts, send, blob, state: "draft", says: [] });
      await this.showPhotos();
      await this.keep();
    } catch {
      this.state("not-kept", says.notKeptSays);
    }
  }

  wrong(list, sentence) {
    list.append(make("li", { role: "alert" }, sentence));
  }

  async showPhotos() {
    const mine = (await store.photosOf(this.owner)).filter(({ record }) => record === this.key);
    for (const [field, list] of this.lists) {
      for (const shown of list.querySelectorAll("img")) URL.revokeObjectURL(shown.src);
      list.replaceChildren(...mine.filter((photo) => photo.field === field).map((photo, place) => this.row(photo, place)));
    }
  }

  row(photo, place) {
    const shown = make("img", { class: "photo", src: URL.createObjectURL(photo.blob), width: 160 });
    shown.alt = queue.words(says.photoNumberSays, { number: place + 1 });
    const out = make("button", { type: "button", class: "btn btn-small" }, queue.words(says.takeOutSays, { number: place + 1 }));
    out.addEventListener("click", async () => {
      await store.dropPhoto(photo.id);
      await this.showPhotos();
    });
    return make("li", {}, shown, out);
  }

  // --- kept as a record

  async submit(event) {
    const marked = this.form.querySelector("[data-keep]");
    if (marked && !event.submitter?.hasAttribute("data-keep")) return;
    // A phone that keeps nothing must not stand in the way: then it is sent as any form is.
    if (this.broken) return;
    event.preventDefault();
    if (this.busy) return;
    this.busy = true;
    try {
      await this.record();
    } finally {
      this.busy = false;
    }
  }

  async record() {
    await this.drawing;
    await this.writing;
    const { owner, path, kind, key } = this;
    const fields = typed(this.form);
    const body = JSON.stringify({ made_by: owner, phone_time: new Date().toISOString(), fields: asFields(fields) });
    const record = { id: key, owner, path, kind, send: this.form.dataset.send, body, fields, at: Date.now() };
    try {
      await store.keepRecord({ ...record, state: "waiting", says: [] });
    } catch {
      this.broken = true;
      return this.state("not-kept", says.notKeptSays);
    }
    navigator.storage?.persist?.();
    await this.empty();
    this.tell("message-success", says.recordSays);
    await queue.flush();
    const left = await store.recordOf(key);
    if (!left) this.tell("message-success", says.sentSays);
    else if (left.state !== "waiting") {
      this.tell("message-warning", says.needsSays, left.says.map((one) => this.sentence(one)));
    }
  }

  tell(look, sentence, further = []) {
    const way = make("a", { class: "tap", href: phone.dataset.waitingPage }, says.waitingSays);
    this.told.replaceChildren(make("p", { class: `message ${look}` }, sentence));
    if (further.length) this.told.append(make("ul", {}, ...further.map((one) => make("li", {}, one))));
    this.told.append(make("p", {}, way));
    this.told.focus();
  }

  async empty() {
    this.form.reset();
    rename(this.form, crypto.randomUUID());
    freshen(this.form, this.since);
    this.state("", "");
    await this.showPhotos();
    await this.claim(this.key);
    if (window.location.search) window.history.replaceState(null, "", this.path);
  }
}

// --- without a signal

// Only what reads the same when it is opened again: no message, no token, nothing typed.
function blank(main) {
  const copy = main.cloneNode(true);
  const gone = "[name=csrfmiddlewaretoken], .messages, [role=alert]";
  for (const one of copy.querySelectorAll(gone)) one.remove();
  return copy.innerHTML;
}

async function hold(form) {
  const main = document.querySelector("main");
  if (main.querySelector("[data-error-summary]")) return;
  const path = window.location.pathname;
  const facts = { owner: Number(form.dataset.madeBy), path, title: document.title, name: main.querySelector("h1").textContent };
  await store.keepForm({ ...facts, html: blank(main), at: Date.now() });
  const cache = await window.caches?.open("forms");
  await cache?.put(path, new Response(""));
}

async function unfold() {
  const person = await store.owner();
  const shown = document.querySelector("[data-held]");
  const form = person !== null && (await store.formAt(person, window.location.pathname));
  if (!form) return list(shown, person === null ? [] : await store.formsOf(person));
  document.title = form.title;
  document.querySelector("[data-shelf]").hidden = true;
  const { body } = new DOMParser().parseFromString(form.html, "text/html");
  shown.querySelector("[data-form]").replaceChildren(...body.childNodes);
  shown.querySelector("[data-one]").hidden = false;
  shown.hidden = false;
  for (const one of shown.querySelectorAll("form[data-queue]")) {
    rename(one, crypto.randomUUID());
    freshen(one, new Date(form.at));
    await new Filled(one, new Date(form.at)).start();
  }
}

function list(shown, forms) {
  if (!forms.length) return;
  const ways = forms.map(({ path, name }) => make("li", {}, make("a", { class: "tap", href: path }, name)));
  shown.querySelector("[data-list]").replaceChildren(...ways);
  shown.querySelector("[data-all]").hidden = false;
  shown.hidden = false;
}

export async function begin() {
  if (document.querySelector("[data-shelf]")) return unfold();
  for (const form of document.querySelectorAll("form[data-queue]")) {
    // Where there is no room for the form itself there may be for what is typed.
    await hold(form).catch(() => undefined);
    await new Filled(form, new Date()).start();
  }
}

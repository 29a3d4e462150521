// Forms that this phone keeps: `<form data-queue="kind" data-record="key" data-send="address" data-made-by="number">`.
// What is typed is kept at once; the button that keeps the record (`data-keep`, or any where none has it) puts it in the
// queue. A form opened once with a signal can be opened without one: the shell shows what is held of it. A form with
// `data-script` names a module whose `begin(form)` is called first; it hears "begun" with what is about to come back.

const phone = document.querySelector("[data-phone]");
const store = await import(phone.dataset.moduleStore);
const queue = await import(phone.dataset.moduleQueue);
const { Pictures } = await import(phone.dataset.modulePictures);
const { make } = queue;
const says = phone.querySelector("[data-words]").dataset;

const NEVER = new Set(["password", "file", "submit", "button", "image", "reset"]);

function localDay(at) {
  const two = (number) => String(number).padStart(2, "0");
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
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

// Whether a field no longer holds what the page came with.
function changed(field) {
  if (ticked(field)) return field.checked !== field.defaultChecked;
  if (field.options) return [...field.options].some((one) => one.selected !== one.defaultSelected) && field.selectedIndex > 0;
  return field.value !== field.defaultValue;
}

// Brings back what was typed before, save in fields that were typed in since: those are newer.
function restore(form, pairs, newer) {
  const values = new Map();
  for (const [name, value] of pairs) values.set(name, [...(values.get(name) ?? []), value]);
  for (const field of [...form.elements].filter((one) => kept(one) && !newer.has(one.name))) {
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
export function rename(form, key) {
  const old = form.dataset.record;
  for (const field of form.elements) if (field.type === "hidden" && field.value === old) field.value = key;
  form.dataset.send = form.dataset.send.replace(old, key);
  if (form.dataset.next) form.dataset.next = form.dataset.next.replace(old, key);
  form.dataset.record = key;
}

// The day a form was laid out is not the day it is filled in.
export function freshen(form, since) {
  const then = localDay(since);
  for (const field of form.querySelectorAll("input[type=date]")) {
    if (field.defaultValue === then) field.value = localDay(new Date());
  }
}

export class Filled {
  constructor(form, since) {
    Object.assign(this, { form, since, owner: Number(form.dataset.madeBy), kind: form.dataset.queue });
    this.path = window.location.pathname;
    this.line = make("p", { class: "kept", "data-kept": "" });
    this.told = make("div", { role: "status", tabindex: "-1" });
    const actions = [...form.querySelectorAll(".actions")].at(-1);
    actions.before(this.line);
    form.before(this.told);
    this.pictures = new Pictures(this, form.querySelectorAll("input[type=file]"));
    // Reading what was kept takes a moment, and a hand may be typing already.
    this.newer = new Set([...form.elements].filter((one) => kept(one) && changed(one)).map(({ name }) => name));
    form.addEventListener("input", ({ target }) => {
      this.newer.add(target.name);
      if (target.type !== "file") this.keep();
    });
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
    restore(this.form, begun.fields, this.newer);
    if (this.newer.size) this.keep();
    await this.pictures.show();
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
    if (problems.length) return this.wrong(problems);
    const again = make("button", { type: "button", class: "btn btn-small" }, says.emptySays);
    again.addEventListener("click", async () => {
      await store.dropDraft(this.key);
      window.location.assign(this.path);
    });
    this.told.replaceChildren(make("p", { class: "message message-info" }, says.backSays), make("p", {}, again));
  }

  // As on any page: what is to be put right in one list that leads to each field, and each sentence beside its field.
  wrong(problems) {
    const list = make("ul", {}, ...problems.map((one) => {
      const place = one.field && this.form.querySelector(`[name="${CSS.escape(one.field)}"]:not([type=hidden])`);
      if (place) this.mark(place, one);
      return make("li", {}, place ? make("a", { href: `#${place.id}` }, this.sentence(one)) : this.sentence(one));
    }));
    this.told.replaceChildren(make("div", { class: "error-summary" }, make("h2", {}, says.rightSays), list));
    // A browser shows the middle of what gets the focus; a long list is read from its head.
    this.told.focus({ preventScroll: true });
    this.told.scrollIntoView();
  }

  mark(place, { field, says: sentence }) {
    for (let fold = place.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    const id = `${place.id}_wrong`;
    const note = make("div", { class: "invalid-feedback", id }, make("span", {}, make("strong", {}, sentence)));
    place.classList.add("is-invalid");
    place.setAttribute("aria-invalid", "true");
    place.setAttribute("aria-describedby", `${place.getAttribute("aria-describedby") ?? ""} ${id}`.trim());
    (this.form.querySelector(`#div_id_${CSS.escape(field)}`) ?? place.parentElement).append(note);
  }

  unmark() {
    for (const place of this.form.querySelectorAll(".is-invalid")) {
      place.classList.remove("is-invalid");
      place.removeAttribute("aria-invalid");
      this.form.querySelector(`#${CSS.escape(place.id)}_wrong`)?.remove();
    }
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

  // --- kept as a record

  async submit(event) {
    const marked = this.form.querySelector("[data-keep]");
    if (marked && !event.submitter?.hasAttribute("data-keep")) return this.ask(event);
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

  // A button that asks the site for a page: without a signal the browser would put its own page of that in its place.
  async ask(event) {
    if (this.broken || this.answers) return;
    event.preventDefault();
    const { submitter } = event;
    this.answers = (await queue.who()) !== undefined;
    if (this.answers) this.form.requestSubmit(submitter);
    else this.tell("message-warning", says.noAnswerSays);
    this.answers = false;
  }

  async record() {
    await this.pictures.drawing;
    await this.writing;
    const { owner, path, kind, key } = this;
    const { next: href, nextSays } = this.form.dataset;
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
    await queue.flush({ asked: true });
    const left = await store.recordOf(key);
    if (!left) this.tell("message-success", says.sentSays, href && { href, says: nextSays });
    // The form is there again with all that was typed, and says at each field what is wrong.
    else if (left.state === "needs") window.location.replace(`${path}?record=${key}`);
    else if (left.state === "refused") this.tell("message-warning", says.needsSays);
  }

  /* Where the register has the record, the way leads on to what the form names; else to what waits. */
  tell(look, sentence, next = undefined) {
    const { href, says: words } = next || { href: phone.dataset.waitingPage, says: says.waitingSays };
    const way = make("a", { class: next ? "btn" : "tap", href }, words);
    this.told.replaceChildren(make("p", { class: `message ${look}` }, sentence));
    this.told.append(make("p", {}, way));
    this.told.focus();
  }

  async empty() {
    this.form.reset();
    this.unmark();
    rename(this.form, crypto.randomUUID());
    freshen(this.form, this.since);
    this.state("", "");
    await this.pictures.show();
    await this.claim(this.key);
    if (window.location.search) window.history.replaceState(null, "", this.path);
  }
}

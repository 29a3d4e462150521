// Forms without a signal: one that was opened is held for its owner, the shell shows it again, and all it could show.

const phone = document.querySelector("[data-phone]");
const store = await import(phone.dataset.moduleStore);
const { make } = await import(phone.dataset.moduleQueue);
const { Filled, freshen, rename } = await import(phone.dataset.moduleForms);

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

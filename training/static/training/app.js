// Small helps on top of pages that work without them. Every word shown comes from the template.

// Reading without a signal has a module of its own, which only the pages that need it load.
const reading = document.querySelector("[data-reading]");
if (reading) import(reading.dataset.reading);

// What waits on this phone, on every page.
const phone = document.querySelector("[data-phone]");
if (phone) import(phone.dataset.moduleQueue);

const summary = document.querySelector("[data-error-summary]");
if (summary) summary.focus();

function say(form, state, words) {
  const line = form.querySelector("[data-kept]") ?? document.querySelector("[data-kept]");
  if (!line) return;
  line.dataset.state = state;
  line.textContent = words(line.dataset);
}

async function keep(form) {
  const token = form.querySelector("[name=csrfmiddlewaretoken]");
  const reply = await fetch(form.dataset.autosave, {
    method: "POST",
    body: new FormData(form),
    credentials: "same-origin",
    headers: { Accept: "application/json", "X-CSRFToken": token ? token.value : "" },
  });
  const answer = reply.ok ? await reply.json() : {};
  // Nothing is called kept before the server has said so; a sign-in page in its place is no yes.
  if (answer.kept !== true) throw new Error("not kept");
  return answer.at;
}

for (const form of document.querySelectorAll("form[data-autosave]")) {
  // One at a time and in order, so that an older answer can never land on a newer one.
  let sending = false;
  let changed = false;
  let failed = false;
  const send = async () => {
    changed = true;
    if (sending) return;
    sending = true;
    while (changed) {
      changed = false;
      try {
        const at = await keep(form);
        failed = false;
        say(form, "kept", (words) => `${words.keptSays} ${at}`);
      } catch {
        failed = true;
        say(form, "not-kept", (words) => words.notKeptSays);
      }
    }
    sending = false;
  };
  form.addEventListener("change", send);
  window.addEventListener("online", () => failed && send());
}

// A card's code sits after the # of the address, which a browser does not send: put it in the form and post it.
for (const form of document.querySelectorAll("form[data-fragment-code]")) {
  const code = window.location.hash.slice(1);
  if (code) {
    form.elements.code.value = code;
    window.history.replaceState(null, "", window.location.pathname);
    form.submit();
  }
}

// Keeps the answers of an open paper while they are given. The page works without this: its buttons do the same.
// Nothing is called kept before the server has said so, and what is typed stays on the page until then.
const form = document.querySelector("form[data-sheet]");
const line = document.querySelector("[data-kept]");
const TYPING = 800; // ms without a key before what is typed is sent
const AGAIN = 5000; // ms until a failed sending is tried again
const PATIENCE = 15000; // ms a server may be silent

let waiting = 0; // the timer of the next sending
let sending = null; // the sending under way, so that an older answer never lands on a newer one
let unsent = false;
let closed = false;

function say(state, words) {
  line.dataset.state = state;
  line.textContent = words;
}

async function post() {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE);
  try {
    return await fetch(form.dataset.sheet, {
      method: "POST",
      body: new FormData(form),
      credentials: "same-origin",
      headers: { Accept: "application/json", "X-CSRFToken": form.elements.csrfmiddlewaretoken.value },
      signal: stop.signal,
    });
  } finally {
    clearTimeout(timer);
  }
}

// After signing in again the form's token is an old one: ask this page for the new one and leave all else as it is.
async function renew() {
  const page = await fetch(window.location.href, { credentials: "same-origin" });
  const fresh = new DOMParser().parseFromString(await page.text(), "text/html");
  const token = fresh.querySelector("form[data-sheet] [name=csrfmiddlewaretoken]");
  if (token) form.elements.csrfmiddlewaretoken.value = token.value;
}

function taken(answer) {
  for (const [place, turn] of Object.entries(answer.turns ?? {})) {
    const known = form.elements[`turn-${place}`];
    // The turn of an answer that was left alone stays old, so that it is left alone again.
    if (known && !answer.says) known.value = turn;
  }
  if (answer.says) say("not-kept", answer.says);
  else say("kept", `${line.dataset.keptSays} ${answer.at}`);
}

async function once() {
  unsent = false;
  let why = line.dataset.notKeptSays;
  try {
    const reply = await post();
    if (reply.redirected || reply.status === 403) {
      why = line.dataset.signedOutSays;
      await renew();
    }
    if (reply.status === 409) {
      closed = true;
      say("not-kept", line.dataset.closedSays);
      return false;
    }
    const answer = reply.ok && !reply.redirected ? await reply.json() : {};
    if (answer.kept !== true) throw new Error("not kept");
    taken(answer);
    return !answer.says;
  } catch {
    unsent = true;
    say("not-kept", why);
    later(AGAIN);
    return false;
  }
}

function send() {
  clearTimeout(waiting);
  sending = (sending ?? Promise.resolve()).then(once);
  return sending;
}

function later(time) {
  clearTimeout(waiting);
  if (!closed) waiting = setTimeout(send, time);
}

if (form && line) {
  form.addEventListener("change", () => {
    unsent = true;
    later(0);
  });
  form.addEventListener("input", (event) => {
    unsent = true;
    if (event.target.type === "text") later(TYPING);
  });
  for (const event of ["online", "pageshow"]) window.addEventListener(event, () => unsent && later(0));
  document.addEventListener("visibilitychange", () => unsent && later(0));

  // A button goes on only once the server has the answers: without a signal the browser would show an error page
  // in place of what was typed.
  let sure = false;
  form.addEventListener("submit", async (event) => {
    if (sure) return;
    event.preventDefault();
    const kept = await send();
    if (!kept && unsent) return;
    sure = true;
    unsent = false;
    form.requestSubmit(event.submitter);
  });
  window.addEventListener("beforeunload", (event) => unsent && event.preventDefault());
  window.addEventListener("pageshow", (event) => {
    if (event.persisted) sure = false;
  });
}

// Small helps on top of pages that work without them. Every word shown comes from the template.

// Reading without a signal has a module of its own, which only the pages that need it load.
const reading = document.querySelector("[data-reading]");
if (reading) import(reading.dataset.reading);

// What waits on this phone, on every page.
const phone = document.querySelector("[data-phone]");
if (phone) import(phone.dataset.moduleQueue);

const summary = document.querySelector("[data-error-summary]");
if (summary) summary.focus();

// A card's code sits after the # of the address, which a browser does not send: put it in the form and post it.
for (const form of document.querySelectorAll("form[data-fragment-code]")) {
  const code = window.location.hash.slice(1);
  if (code) {
    form.elements.code.value = code;
    window.history.replaceState(null, "", window.location.pathname);
    form.submit();
  }
}

// Small helps on top of pages that work without them. Every word shown comes from the template.

// Reading without a signal has a module of its own, which only the pages that need it load.
const reading = document.querySelector("[data-reading]");
if (reading) import(reading.dataset.reading);

// What waits on this phone, on every page.
const phone = document.querySelector("[data-phone]");
if (phone) import(phone.dataset.moduleQueue);

const summary = document.querySelector("[data-error-summary]");
if (summary) summary.focus();

// Small helps on top of pages that work without them. Every word shown comes from the template.

// Reading without a signal has a module of its own, which only the pages that need it load.
const reading = document.querySelector("[data-reading]");
if (reading) import(reading.dataset.reading);

// What waits on this phone, on every page.
const phone = document.querySelector("[data-phone]");
if (phone) import(phone.dataset.moduleQueue);

// The site says what is wrong, beside the field and all at once, and a bubble of the browser would come before it. Only of
// a day or number typed by half does the site get nothing: of that the browser tells, and of what this phone keeps, for the
// site may be out of reach.
for (const form of document.forms) form.noValidate ||= !form.matches("[data-queue]");
document.addEventListener(
  "submit",
  (event) => {
    const half = [...event.target.elements].find((field) => field.validity?.badInput);
    if (!half) return;
    event.preventDefault();
    event.stopPropagation();
    half.reportValidity();
  },
  true,
);

const summary = document.querySelector("[data-error-summary]");
if (summary) summary.focus();

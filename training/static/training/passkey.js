// Says on the page that a passkey was not used; allauth's scripts only tell the console.
document.addEventListener("allauth.error", (event) => {
  event.preventDefault();
  for (const sentence of document.querySelectorAll("[data-passkey-error]")) {
    sentence.hidden = false;
  }
});

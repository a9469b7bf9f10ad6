/* Convenience only: every page works without this file. */
"use strict";

// A form is sent once: a second touch while the first is on its way does nothing.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.submitter && event.submitter.value === "save") {
    return; // a file is saved and the page stays
  }
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  form.dataset.sent = "yes";
});
// Coming back to a page that the browser kept, its forms may be sent again.
window.addEventListener("pageshow", () => {
  for (const form of document.forms) {
    delete form.dataset.sent;
  }
});

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

// What the gym's page has not sent yet is said on every page, with the way to it.
(async () => {
  const known = await indexedDB.databases?.();
  if (!known?.some((one) => one.name === "loftbook-gym")) {
    return;
  }
  const asking = indexedDB.open("loftbook-gym");
  asking.onupgradeneeded = () => asking.transaction.abort();
  asking.onsuccess = () => {
    const counting = asking.result.transaction("waiting").objectStore("waiting").count();
    counting.onsuccess = () => {
      asking.result.close();
      if (counting.result > 0) {
        const note = document.createElement("p");
        const link = document.createElement("a");
        note.className = "notice waiting";
        link.href = "/gym";
        link.textContent = `${counting.result} waiting to send`;
        note.append(link, " from this browser, written in the gym.");
        document.getElementById("page")?.prepend(note);
      }
    };
  };
})().catch(() => undefined);

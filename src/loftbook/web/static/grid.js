/* Keys of the typing grid: Enter and the arrows move between its places. Without this file Tab does. */
"use strict";

for (const form of document.querySelectorAll("form[data-grid]")) {
  const rows = [...form.querySelectorAll("tbody tr")].map((row) => [...row.querySelectorAll("input")]);
  form.addEventListener("keydown", (event) => {
    const down = { Enter: 1, ArrowDown: 1, ArrowUp: -1 }[event.key];
    const y = rows.findIndex((row) => row.includes(event.target));
    if (!down || y < 0) {
      return;
    }
    event.preventDefault();
    const next = rows[y + down]?.[rows[y].indexOf(event.target)];
    next?.focus();
    next?.select();
  });
}

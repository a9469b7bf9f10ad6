/* The picture's secret stands behind the #, which no server and no log sees. It is used once and wiped. */
"use strict";

(async () => {
  const secret = location.hash.slice(1);
  if (!secret) {
    return;
  }
  history.replaceState(null, "", location.pathname);
  const word = document.getElementById("pair-word");
  word.textContent = "One moment…";
  try {
    const answer = await fetch("/api/pair", {
      method: "POST",
      headers: { "Content-Type": "application/json", Accept: "application/json" },
      body: JSON.stringify({ secret }),
    });
    const told = await answer.json();
    if (answer.ok) {
      location.replace(told.role === "read" ? "/" : "/gym");
    } else {
      word.textContent = told.error;
    }
  } catch {
    word.textContent = "The laptop cannot be reached. Look whether this device is in its network, then scan again.";
  }
})();

/** Opens the outbox, draws the page, and lets the shell be kept where the browser allows it. */
import { render } from "preact";
import { begin } from "./actions.ts";
import { currentLook } from "./look.ts";
import { openOutbox } from "./outbox.ts";
import { Page } from "./screen/page.tsx";

document.documentElement.dataset["look"] = currentLook();

let factory: IDBFactory | undefined;
try {
  factory = window.indexedDB ?? undefined;
} catch {
  factory = undefined; // some private modes throw at the mere question
}
const root = document.getElementById("gym");
if (root) render(<Page />, root);
void openOutbox(factory).then(begin);
if ("serviceWorker" in navigator) {
  void navigator.serviceWorker.register("/gym/sw.js", { scope: "/gym" }).catch(() => undefined);
}

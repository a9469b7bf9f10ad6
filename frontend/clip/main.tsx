/** Brings the film's page to life where it has one. */
import { render } from "preact";
import { begin, settlePage } from "./actions.ts";
import { Page } from "./page.tsx";

const place = document.getElementById("clip");
const film = place?.dataset["film"];
if (place && film) {
  settlePage();
  place.replaceChildren();
  place.classList.add("clip");
  render(<Page />, place);
  void begin(film);
}

/** Brings the film's page to life where it has one, and the page of two films. */
import { render } from "preact";
import { begin, settlePage } from "./actions.ts";
import { Beside, beginBeside } from "./beside.tsx";
import { Page } from "./page.tsx";

const place = document.getElementById("clip"), both = document.getElementById("beside");
const film = place?.dataset["film"];
if (place && film) {
  settlePage();
  place.replaceChildren();
  place.classList.add("clip");
  render(<Page />, place);
  void begin(film);
}
const { first, second, firstName, secondName } = both?.dataset ?? {};
if (both && first && second) {
  both.classList.add("clip");
  render(<Beside />, both);
  void beginBeside(first, second, [firstName ?? "first", secondName ?? "second"]);
}

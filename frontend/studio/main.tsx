/** Draws the studio into its place on the page and asks for the flights. */
import { render } from "preact";
import { askTheQuestion } from "./screen/beside.tsx";
import { Page } from "./screen/page.tsx";
import { load } from "./state.ts";

const root = document.getElementById("studio");
if (root) {
  const asked = new URLSearchParams(location.search), query = new URLSearchParams();
  if (asked.get("athlete")) query.set("athlete", asked.get("athlete") ?? "");
  root.replaceChildren();
  render(<Page />, root);
  void load(query.size ? `?${query.toString()}` : "", asked.get("flight") ?? "full_out", asked.get("plan") ?? "", asked.get("film") ?? "").then(() => { if (asked.get("ask") === "late-arm") askTheQuestion(); });
}

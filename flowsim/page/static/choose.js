/* Without a case: what the folder has, a new one, copies of the examples. */

import { fill, make } from "./dom.js";
import { ask } from "./net.js";

export function choose(root, listed, opened) {
  const wrong = make("p", { class: "wrong", role: "alert", hidden: true });
  const pick = async (body) => {
    const said = await ask("/choose", body);
    if (!said.ok) { wrong.hidden = false; wrong.textContent = said.words; return; }
    opened(said);
  };
  const list = (what, labels) => make("ul", { class: "choices" }, labels.map((label, number) => make("li", {}, make("button", { type: "button", onclick: () => pick({ what, number }) }, label))));
  const title = make("input", { type: "text", id: "new-title", autocomplete: "off" });
  fill(root, make("h2", {}, "Which case?"), wrong,
    make("h3", {}, "In the folder " + listed.folder), listed.cases.length ? list("case", listed.cases) : make("p", {}, "There is none yet."),
    make("h3", {}, "New, from the starter"),
    make("form", { class: "tools", onsubmit: (event) => { event.preventDefault(); pick({ what: "new", title: title.value }); } }, make("label", { for: "new-title" }, "Its title "), title, make("button", { type: "submit" }, "Begin")),
    make("p", { class: "note" }, "Its numbers are invented; replace every one by your own. Nothing is written before Save."),
    listed.examples.length ? make("h3", {}, "A copy of an example") : null, listed.examples.length ? list("example", listed.examples) : null);
  root.hidden = false;
  const first = root.querySelector("button, input");
  if (first) { first.focus(); }
}

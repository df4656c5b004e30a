/* The other side with right and left swapped: shown first, one step. */

import { fill, make } from "./dom.js";
import { ask, inOrder } from "./net.js";

export function mirror(box, page) {
  const choose = async (side) => {
    const found = await ask("/mirror", { side });
    if (!found.ok) { fill(box, make("p", { class: "wrong" }, found.words)); return; }
    const rows = found.rows;
    const keep = make("button", { type: "button", onclick: () => inOrder(async () => { const said = await ask("/keep", { turn: page.state.history.turn, what: "mirror", side }); page.take(said); if (said.ok) { fill(box); } }) }, "Make it so");
    fill(box, make("div", { class: "notice" }, rows.length ? make("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "What would change" }, make("table", {}, make("thead", {}, make("tr", {}, ["what", "now", "then"].map((w) => make("th", { scope: "col" }, w)))), make("tbody", {}, rows.map((cells) => make("tr", {}, cells.map((c, i) => make(i ? "td" : "th", { scope: i ? null : "row" }, c))))))) : make("p", {}, "The other side is the same already."),
      make("p", { class: "tools" }, rows.length ? keep : null, make("button", { type: "button", onclick: () => fill(box) }, "Leave it"))));
    (rows.length ? keep : box.querySelector("button")).focus();
  };
  fill(box, make("div", { class: "notice" }, make("p", {}, "Which side is measured? The other gets its places with right and left swapped; what is not there yet is made."),
    make("p", { class: "tools" }, make("button", { type: "button", onclick: () => choose("left") }, "Left is measured"), make("button", { type: "button", onclick: () => choose("right") }, "Right is measured"), make("button", { type: "button", onclick: () => fill(box) }, "Leave it"))));
  box.querySelector("button").focus();
}

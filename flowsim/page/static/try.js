/* The tab Try: sizes of the trade in some lines, one by one; leaving it changes nothing. */

import { figure } from "./blocks.js";
import { fill, make, sync } from "./dom.js";
import { ask, inOrder } from "./net.js";

export function tryTab(root, page) {
  const lines = make("fieldset", { class: "pick" }, make("legend", {}, "In these lines, all of them alike"), make("div", { class: "picks" }));
  const go = make("button", { type: "button", id: "try-go", onclick: () => run() }, "Try the sizes");
  const said = make("p", { class: "note", "aria-live": "polite", id: "try-said" });
  const body = make("tbody");
  const table = make("table", { class: "tried", hidden: true }, make("thead", {}, make("tr", {}, ["size", "least flow, % of required", "head left", ""].map((words) => make("th", { scope: "col" }, words)))), body);
  const whole = make("div", { id: "tried-whole" });
  root.append(make("p", { class: "note" }, "Single values, without a band: for looking around. Choose one to have its band and verdict worked out. Nothing is changed until you keep it."), lines, make("p", { class: "tools" }, go), said, table, whole);
  let number = 0;
  const picked = () => [...lines.querySelectorAll("input:checked")].map((box) => box.value);

  async function run() {
    number += 1;
    const mine = number;
    const turn = page.state.history.turn;
    const names = picked();
    fill(body); fill(whole); table.hidden = true;
    if (!names.length) { said.textContent = "Pick at least one line."; return; }
    const listed = await ask("/try", { turn, what: "list", lines: names });
    if (!listed.ok) { said.textContent = listed.words; return; }
    table.hidden = false;
    for (let i = 0; i < listed.sizes.length; i += 1) {
      said.textContent = "Trying " + listed.sizes[i] + " (" + (i + 1) + " of " + listed.sizes.length + ")";
      const found = await ask("/try", { turn, what: "one", lines: names, number: i });
      if (mine !== number || turn !== page.state.history.turn) { return; }
      if (!found.ok) { said.textContent = found.words; return; }
      body.append(row(found, names, i, turn));
    }
    said.textContent = listed.sizes.length + " sizes tried, the nearest to the present one first.";
  }

  function row(found, names, i, turn) {
    const choose = make("button", { type: "button", onclick: () => one(names, i, turn) }, "Choose");
    return make("tr", {}, make("th", { scope: "row" }, found.name), make("td", { class: "num" }, found.problem ? "-" : found.least), make("td", { class: "num" }, found.problem ? "" : found.head), make("td", {}, found.problem ? make("span", { class: "wrong" }, found.problem) : choose));
  }

  async function one(names, i, turn) {
    fill(whole, make("p", { class: "note" }, "Working out the band"));
    const found = await ask("/try", { turn, what: "whole", lines: names, number: i });
    if (turn !== page.state.history.turn) { fill(whole); return; }
    if (!found.ok || found.problem) { fill(whole, make("p", { class: "wrong" }, found.words || found.problem)); return; }
    const keep = make("button", { type: "button", id: "try-keep", onclick: () => keepIt(names, i) }, "Keep this size");
    const now = page.answer.pictured();
    const curve = found.curves.find((c) => c.title === now) || found.curves[0];
    fill(whole, make("div", { class: "verdict v-" + found.verdict.replace(/ /g, "-") }, make("p", {}, names.join(", ") + ": " + found.name), make("p", { class: "word" }, found.words), make("p", {}, found.least), make("p", { class: "standing" }, "An estimate, not an approval. The ground test decides.")),
      curve ? figure(curve) : null, found.remarks.length ? make("ul", {}, found.remarks.map((words) => make("li", {}, words))) : null, make("p", { class: "tools" }, keep));
    keep.focus();
  }

  function keepIt(names, i) {
    return inOrder(async () => {
      const found = await ask("/keep", { turn: page.state.history.turn, what: "size", lines: names, number: i });
      page.take(found);
      if (found.ok) { number += 1; fill(body); fill(whole); table.hidden = true; said.textContent = "Kept as edition " + (found.history.now + 1) + "."; go.focus(); }
    });
  }

  let shownTurn = 0;
  return (state) => {
    const names = (Array.isArray(state.case.data.line) ? state.case.data.line : []).map((line) => line.name).filter(Boolean);
    sync(lines.lastElementChild, names, (name) => name, (name) => make("label", { class: "inline" }, make("input", { type: "checkbox", value: name }), " " + name));
    go.disabled = !state.judged;
    if (!state.judged) { said.textContent = "Correct the mistakes first."; }
    if (shownTurn !== state.history.turn && shownTurn && !table.hidden) { number += 1; fill(body); fill(whole); table.hidden = true; said.textContent = "The case has changed; try again."; }
    shownTurn = state.history.turn;
  };
}

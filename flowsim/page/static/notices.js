/* What must be said on top; each goes when its cause is gone, nothing is to be dismissed. */

import { fill, make } from "./dom.js";
import { ask, inOrder } from "./net.js";

export function notices(box, page) {
  const state = page.state;
  if (page.closed) { return; }
  const made = [];
  if (page.lost) { made.push(line("flowsim is not running; your typing is still here.", "warning")); }
  if (state) { made.push(...ofState(state, page)); }
  if (page.problem && !page.referred) { made.push(line(page.problem, "warning")); }
  if (page.referred) { made.push(referred(page)); }
  if (page.unfit && page.unfit.length) { made.push(unfit(page)); }
  const key = made.map((item) => item.dataset.said).join("|");
  if (box.dataset.said === key) { return; }
  box.dataset.said = key;
  fill(box, made);
}

function line(words, tone, ...buttons) {
  const item = make("div", { class: "notice " + (tone || "") }, make("p", {}, words), buttons.length ? make("p", { class: "tools" }, buttons) : null);
  item.dataset.said = words + buttons.length;
  return item;
}

const button = (words, work) => make("button", { type: "button", onclick: work }, words);

function ofState(state, page) {
  const made = [];
  const { file } = state;
  if (!state.holds) { made.push(line("Another page has this case. Here it can be looked at.", "warning", button("Take it over", () => send(page, "/take", {})))); }
  if (file.draft) {
    const words = file.draft.changes.length ? " (" + file.draft.changes.slice(0, 3).join("; ") + (file.draft.changes.length > 3 ? "…" : "") + ")" : "";
    made.push(line("There are changes that were not saved" + words + ".", "warning",
      button("Take them up", () => send(page, "/draft", { what: "take" })), button("Look at both", () => both(page, "/draft", "the changes")), button("Drop them", () => send(page, "/draft", { what: "drop" }))));
  }
  if (file.outside === "changed") {
    made.push(line("The file has been changed outside this page. Nothing is written over it.", "warning",
      button("See both", () => both(page, "/outside", "the file as it is now")), button("Put my changes onto it", () => outside(page, "mine")),
      button("Take the file as it is", () => outside(page, "theirs")), button("Save mine beside it", () => outside(page, "beside"))));
  }
  if (file.outside === "deleted") { made.push(line("The file has been deleted outside this page.", "warning", button("Save mine beside it", () => outside(page, "beside")))); }
  if (file.draft_problem) { made.push(line(file.draft_problem, "warning")); }
  if (file.hard_links) { made.push(line("This file has a second name (a hard link). Saving makes a new file under this name; the other name keeps the old text.", "")); }
  if (state.case.quotes) { made.push(line("Some values lack their quotes.", "", button("Put the quotes in", () => page.commit([{ do: "quotes" }])))); }
  else if (state.case.slips || !state.case.reads) { made.push(line("The text must be put right in the tab Text before the fields can change it.", "", button("To the text", () => { page.choose("text"); document.getElementById("case-text").focus(); }))); }
  if (state.case.tested && !state.history.is_saved) { made.push(line("The fit of the ground test belongs to the text as it was. Test and fit again before relying on it.", "")); }
  if (page.beside) { made.push(line("Saved beside it as " + page.beside + ".", "")); }
  return made;
}

function send(page, path, body) { return inOrder(async () => page.take(await ask(path, { turn: page.state.history.turn, ...body }))); }

async function outside(page, what) {
  await inOrder(async () => {
    const said = await ask("/outside", { turn: page.state.history.turn, what });
    page.unfit = said.unfit || [];
    page.beside = said.beside || page.beside;
    page.take(said);
  });
}

async function both(page, path, called) {
  const said = await ask(path, { what: "look" });
  if (!said.ok) { return; }
  const box = document.getElementById("notices");
  const old = box.querySelector(".both");
  if (old) { old.remove(); return; }
  const lines = [said.mine.split("\n"), said.theirs.split("\n")];
  const others = lines.map((own, i) => { const rest = new Set(lines[1 - i]); return own.map((text) => ({ text, other: !rest.has(text) })); });
  const column = (title, list) => make("div", {}, make("h3", {}, title), make("pre", { tabindex: "0" }, list.map((l) => make("span", { class: l.other ? "differs" : null }, (l.other ? "> " : "  ") + l.text + "\n"))));
  box.append(make("div", { class: "both" }, column("mine", others[0]), column(called, others[1])));
}

function referred(page) {
  const { steps, words, places } = page.referred;
  const item = line(words + ": " + places.join("; ") + ".", "warning",
    button("Take these out too", () => page.takeOut(steps[0].path, true)), button("Leave it", () => { page.referred = null; page.problem = ""; page.tell(); }));
  return item;
}

function unfit(page) {
  return line("These changes of mine no longer fit: " + page.unfit.map(([what, now, mine]) => what + " (the file has " + now + ", I had " + mine + ")").join("; ") + ".", "warning", button("Seen", () => { page.unfit = []; page.tell(); }));
}

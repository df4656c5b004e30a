/* The answer, the attitude that is looked at, the curves and the heads: all of one edition. */

import { blocks, figure } from "./blocks.js";
import { fill, make, say } from "./dom.js";
import { sentence } from "./fields.js";

const by = (id) => document.getElementById(id);
const NAMED = { level: "Level", climb: "Climb", test: "Test", deciding: "Deciding" };

export class Answer {
  constructor(page) {
    this.page = page;
    this.flows = null;
    this.verdict = null;
    this.seenCautions = null;
    this.pitchRoom();
  }

  /* A new edition: no number of an older one stays on the page. */
  clear(state) {
    this.flows = null;
    this.verdict = null;
    this.turn = state.history.turn;
    const wrong = state.case.mistakes.length;
    const box = by("word");
    box.className = "verdict is-waiting";
    box.dataset.turn = String(this.turn);
    say(by("verdict-word"), wrong ? "No result" : "Working out the flows");
    say(by("verdict-says"), wrong ? "With mistakes in the case there are no numbers." : "");
    say(by("headline"), "");
    fill(by("answer-blocks"));
    by("more-answer").hidden = true;
    for (const id of ["curves", "heads"]) { by(id).hidden = true; fill(by(id)); }
    this.curveShown = null;
    say(this.read, "");
    this.room.hidden = true;
    this.tellMistakes(state);
    this.tellRests(state);
    this.page.drawing.setAttitude(this.keptPitch || 0, null, []);
  }

  tellMistakes(state) {
    const found = state.case.mistakes;
    const box = by("mistakes");
    if (!found.length) { fill(box); return; }
    const words = found.length === 1 ? "1 thing to put right" : found.length + " things to put right";
    fill(box, make("h2", {}, words), make("ul", {}, found.map((m) => make("li", {},
      make("a", { href: "#", onclick: (event) => { event.preventDefault(); this.page.goToMistake(m); } }, (m.line ? "line " + m.line + ": " : "") + sentence(m))))));
  }

  /* Assumed and filled-in values, and cautions: always in sight, each leads to its place. */
  tellRests(state) {
    const given = state.case.given;
    const assumed = given.filter((g) => g.origin === "assumed").length;
    const taken = given.length - assumed;
    const verdict = this.verdict;
    const cautions = verdict ? verdict.cautions : [...this.page.forms.always.map((text) => ({ text, always: true })), ...state.case.remarks];
    const fresh = verdict && this.seenCautions ? cautions.filter((c) => !this.seenCautions.has(bare(c.text))) : [];
    const count = (n, one, many) => n + " " + (n === 1 ? one : many);
    say(by("rests-on"), "Rests on " + assumed + " assumed and " + count(taken, "filled-in value", "filled-in values") + "; " + count(cautions.length, "caution", "cautions") + (fresh.length ? ", " + fresh.length + " new" : ""));
    const link = (text, path, isNew) => make("li", { class: isNew ? "new" : null }, path && path.length ? make("a", { href: "#", onclick: (e) => { e.preventDefault(); this.page.goTo(path); } }, text) : text, isNew ? " (new)" : "");
    const lines = verdict ? verdict.assumptions : given.map((g) => ({ text: g.item + ": " + (g.origin === "assumed" ? "assumed " : "not given, taken as ") + g.value + (g.note ? " (" + g.note + ")" : ""), path: g.path }));
    fill(by("rests-list"), verdict ? make("p", {}, "Not measured: " + verdict.rests + ".") : null, make("h3", {}, "Cautions"), make("ul", {}, cautions.map((c) => link(c.text, c.path, fresh.includes(c)))), make("h3", {}, "Assumed, and filled in by the program"), make("ul", {}, lines.map((l) => link(l.text, l.path))));
  }

  /* The first step: curves, heads and attitudes, but no verdict. */
  showFlows(flows) {
    this.flows = flows;
    say(by("verdict-word"), "Working out the band");
    say(by("headline"), "Least flow on single values: " + flows.least.map((l) => l.name + " " + l.percent).join("; ") + " of the required.");
    by("curves").hidden = false;
    by("heads").hidden = false;
    this.room.hidden = false;
    this.setChoices(flows.attitudes);
    this.showHead(flows.head);
    this.attitude();
  }

  /* The second: band and verdict, the word that check gives. */
  showVerdict(verdict, state) {
    this.verdict = verdict;
    const box = by("word");
    box.className = "verdict v-" + verdict.verdict.replace(/ /g, "-");
    say(by("verdict-word"), verdict.words);
    say(by("verdict-says"), verdict.says);
    const [lead, ...rest] = verdict.answer;
    say(by("headline"), lead && lead.tone === "lead" ? lead.text : "");
    fill(by("answer-blocks"), blocks(rest));
    by("more-answer").hidden = false;
    this.showHead(verdict.head);
    this.flows.attitudes.named.deciding = verdict.start[3];
    this.tellRests(state);
    this.seenCautions = new Set(verdict.cautions.map((c) => bare(c.text)));
  }

  showProblem(words) {
    say(by("verdict-word"), "No result");
    say(by("verdict-says"), words);
  }

  pitchRoom() {
    const select = (name) => { const item = make("select", { id: "at-" + name }); item.addEventListener("change", () => this.attitude(true)); return item; };
    this.selects = { selector: select("selector"), state: select("state"), end: select("end") };
    this.slider = make("input", { type: "range", id: "at-pitch", min: 0, max: 0, step: 1 });
    this.slider.addEventListener("input", () => this.attitude(true));
    this.angle = make("b", {});
    this.read = make("p", { class: "read", id: "at-read", "aria-live": "polite" });
    this.buttons = make("p", { class: "tools named", role: "group", "aria-label": "Attitudes" }, Object.entries(NAMED).map(([name, words]) =>
      make("button", { type: "button", "data-named": name, onclick: () => this.choosePitch(name) }, words)));
    this.make = make("button", { type: "button", id: "make-climb", onclick: () => this.page.makeClimb(this.pitchNow()) }, "Make this the climb pitch");
    this.room = make("div", { class: "attitude", hidden: true },
      make("p", { class: "wide" }, make("label", { for: "at-pitch" }, "Pitch ", this.angle), this.slider), this.buttons, this.read,
      make("div", { class: "row" }, Object.entries({ selector: "Selector", state: "Fuel", end: "End" }).map(([name, words]) => make("label", {}, words + " ", this.selects[name]))),
      make("p", { class: "tools" }, this.make));
  }

  setChoices(found) {
    const before = this.kept;
    const sets = { selector: found.selectors, state: found.states, end: found.ends };
    Object.entries(sets).forEach(([name, words], i) => {
      const select = this.selects[name];
      const wanted = before && words.includes(before[name]) ? words.indexOf(before[name]) : found.start[i];
      fill(select, words.map((word, j) => make("option", { value: j }, word)));
      select.value = String(wanted);
    });
    this.slider.max = found.pitch_deg.length - 1;
    this.slider.value = String(this.keptPitch !== undefined && before ? nearest(found.pitch_deg, this.keptPitch) : found.start[3]);
  }

  choosePitch(name) {
    const found = this.flows.attitudes;
    this.slider.value = String(found.named[name]);
    if (name === "deciding" && this.verdict) {
      ["selector", "state", "end"].forEach((key, i) => { this.selects[key].value = String(this.verdict.start[i]); });
    }
    this.attitude(true);
  }

  pitchNow() { return this.flows.attitudes.pitch_deg[Number(this.slider.value)]; }

  /* One look-up in what was worked out; no request. */
  attitude(chosen) {
    if (!this.flows) { return; }
    const found = this.flows.attitudes;
    const [selector, state, end] = ["selector", "state", "end"].map((name) => Number(this.selects[name].value));
    const place = Number(this.slider.value);
    if (chosen) {
      this.kept = { selector: found.selectors[selector], state: found.states[state], end: found.ends[end] };
      this.keptPitch = found.pitch_deg[place];
    }
    const set = found.sets.find((one) => one.selector === selector && one.state === state && one.end === end);
    const cell = set ? set.cells[place] : null;
    const pitch = found.pitch_deg[place];
    const words = (Math.abs(pitch) < 0.005 ? "level" : Math.abs(pitch).toFixed(1) + " deg nose-" + (pitch > 0 ? "up" : "down")) + (found.pitch_names[place] ? " (" + found.pitch_names[place] + ")" : "");
    say(this.angle, words);
    this.slider.setAttribute("aria-valuetext", words);
    say(this.read, cell ? cellWords(cell) : "Not worked out here.");
    this.read.dataset.turn = String(this.turn);
    this.read.classList.toggle("short", Boolean(cell && cell.below));
    const surfaces = found.surfaces[state].map((heights) => heights[place]);
    this.page.drawing.setAttitude(pitch, surfaces, cell ? cell.uncovered : [], cell ? cell.air : "");
    this.showCurve(found.selectors[selector], found.ends[end]);
  }

  showCurve(selector, end) {
    const key = selector + "|" + end + "|" + this.turn;
    if (this.curveShown === key) { return; }
    this.curveShown = key;
    const title = (selector.startsWith("no ") ? selector : "selector " + selector) + ", " + end;
    const one = this.flows.curves.find((f) => f.title === title) || this.flows.curves[0];
    fill(by("curves"), make("h2", {}, "Flow against pitch"), one ? figure(one) : make("p", {}, "No flow at any pitch."));
  }

  /* The title of the curves that are to be seen. */
  pictured() { const [selector, end] = (this.curveShown || "|").split("|"); return (selector.startsWith("no ") ? selector : "selector " + selector) + ", " + end; }

  showHead(list) {
    const figures = list.filter((one) => one.type === "figure");
    const tables = list.filter((one) => one.type !== "figure");
    const made = figures.map(figure);
    made.forEach((item, path) => this.page.handChecks(item, path));
    fill(by("heads"), make("h2", {}, "Where the head goes"), made, make("details", {}, make("summary", {}, "As a table"), blocks(tables)), make("div", { id: "hand" }));
  }
}

/* A caution is the same caution when only its numbers have changed. */
const bare = (text) => text.replace(/[0-9.]+/g, "");

function cellWords(cell) {
  const said = [(cell.flow === cell.percent ? cell.flow + "; required " : cell.flow + ", " + cell.percent + " of the required ") + cell.required + (cell.below ? ": too little" : "")];
  said.push(cell.of_burn + " of full-power burn");
  said.push(cell.uncovered.length ? "uncovered: " + cell.uncovered.join(", ") : "no outlet uncovered");
  if (cell.air) { said.push(cell.air); }
  said.push(cell.judged ? "judged" : "only drawn, not judged");
  return said.join("; ") + ".";
}

function nearest(list, value) {
  return list.reduce((best, one, i) => (Math.abs(one - value) < Math.abs(list[best] - value) ? i : best), 0);
}

/* The page: one state, brought to every part of it; nothing is worked out here. */

import { Answer } from "./answer.js";
import { cards, TABS as CARDS } from "./cards.js";
import { changes, textTab } from "./changes.js";
import { choose } from "./choose.js";
import { at, fill, keyOf, make, say, startsWith } from "./dom.js";
import { Drawing } from "./drawing.js";
import { every, fieldAt, fieldOf, updateAll, whenWritten } from "./fields.js";
import { firstToFill, measure } from "./measure.js";
import { ask, begin, inOrder, whenLost } from "./net.js";
import { notices } from "./notices.js";
import { Show } from "./show.js";
import { tryTab } from "./try.js";

const by = (id) => document.getElementById(id);
const TABS = [["measure", "Measure"], ["lines", "Lines"], ["tanks", "Tanks"], ["engine", "Engine and flight"], ["try", "Try"], ["changes", "Changes"], ["text", "Text"]];
const NEW = {
  stock: { name: "new stock" },
  line: { name: "new line", from: "", to: "" }, tee: { name: "new tee", run: [], branch: "", common: "" }, junction: { name: "new place" },
  selector: { name: "new selector", ports: {}, outlet: "", positions: {}, judged: [] }, drain: { name: "new drain", reaches: "" },
  tank: { name: "new tank", shape: "box" }, start: { tank: "", quantity: "" }, phase: { name: "new phase", duration: "", pitch: "" },
  obstacle: { name: "new obstacle", kind: "wire", points: [] }, crossing: { name: "new crossing", line: "", kind: "rib" }, vent_line: { name: "new vent", tank: "", points: [] },
};

class Page {
  constructor() { this.state = null; this.unit = ""; this.updates = []; this.problem = ""; this.lost = false; this.steps = new Map(); }

  async start() {
    whenLost(() => { this.lost = true; this.tell(); }, () => { this.lost = false; this.again(); });
    const begun = await begin();
    if (!begun.ok) { this.stuck(begun.words); return; }
    const listed = await ask("/list", {});
    if (listed.refused) { this.stuck(listed.words); return; }
    if (listed.ok && !listed.open) { choose(by("choose"), listed, (said) => this.opened(said)); return; }
    await this.opened(await ask("/state", {}));
  }

  stuck(words) { fill(by("notices"), make("p", { class: "warning" }, words)); }

  async opened(said) {
    if (!said.ok) { this.stuck(said.words); return; }
    by("choose").hidden = true;
    this.forms = await ask("/forms", {});
    this.parts = this.forms.parts;
    this.forms = { ...this.forms.forms, always: this.forms.always, lists: this.forms };
    this.build();
    if (!said.case.reads) { this.choose("text"); }
    this.take(said);
    by("desk").hidden = false;
    const first = said.case.reads ? firstToFill() : { input: by("case-text") };
    if (first && document.activeElement === document.body) { first.input.focus({ preventScroll: true }); }
    this.listen();
    this.pulse();
  }

  build() {
    this.drawing = new Drawing(by("drawing"), (path) => this.goTo(path));
    this.answer = new Answer(this);
    by("drawing").append(this.answer.room);
    const makers = { measure, lines: (r, p) => cards("lines", r, p), tanks: (r, p) => cards("tanks", r, p), engine: (r, p) => cards("engine", r, p), try: tryTab, changes, text: textTab };
    for (const [name, words] of TABS) {
      const button = make("button", { type: "button", role: "tab", id: "tab-" + name, "aria-controls": "panel-" + name, "aria-selected": "false", tabindex: "-1", onclick: () => this.choose(name) }, words);
      const panel = make("div", { role: "tabpanel", id: "panel-" + name, "aria-labelledby": "tab-" + name, hidden: true });
      by("tabs").append(button);
      by("panels").append(panel);
      this.updates.push(makers[name](panel, this));
    }
    by("panels").append(make("p", { id: "hint-strip", "aria-hidden": "true" }));
    this.show = new Show(this);
    this.choose("measure");
    whenWritten((steps, sent, words) => this.commit(steps, sent, words));
    for (const [id, list] of Object.entries({ "offer-parts": this.parts, "offer-materials": this.forms.lists.materials, "offer-fuels": this.forms.lists.fuels, "offer-places": [], "offer-lines": [], "offer-tanks": [], "offer-things": [] })) {
      document.body.append(make("datalist", { id }, list.map((word) => make("option", { value: word }))));
    }
  }

  listen() {
    by("undo").onclick = () => { if (isAble(by("undo"))) { this.travel("undo"); } };
    by("redo").onclick = () => { if (isAble(by("redo"))) { this.travel("redo"); } };
    by("save").onclick = () => { if (isAble(by("save"))) { this.save(); } };
    by("close").onclick = () => this.close();
    by("show").onclick = () => this.show.toggle();
    document.addEventListener("keydown", (event) => {
      if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "s") { event.preventDefault(); this.save(); }
    });
    by("tabs").addEventListener("keydown", (event) => {
      const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
      if (!step) { return; }
      const names = TABS.map(([name]) => name);
      const next = names[(names.indexOf(this.chosen) + step + names.length) % names.length];
      this.choose(next);
      by("tab-" + next).focus();
    });
    document.addEventListener("flowsim-row", (event) => this.drawing.mark(event.detail));
    document.addEventListener("focusin", (event) => {
      const field = [...every].find((one) => one.root.contains(event.target));
      say(by("hint-strip"), field && field.hint ? field.about.label + ": " + field.hint.textContent : "");
    });
  }

  choose(name) { this.turnTo(name); if (this.state) { this.draw(); } }

  turnTo(name) {
    this.chosen = name;
    for (const [one] of TABS) {
      by("tab-" + one).setAttribute("aria-selected", String(one === name));
      by("tab-" + one).tabIndex = one === name ? 0 : -1;
      by("panel-" + one).hidden = one !== name;
    }
  }

  /* Takes a state in; an older one than what is there is dropped. */
  take(said) {
    if (!said || !said.history) { return; }
    if (this.state && said.history.turn < this.state.history.turn && !said.ok) { return; }
    const isNew = !this.state || said.history.turn !== this.state.history.turn;
    said.taken = new Map(said.case.given.filter((g) => g.origin === "default").map((g) => [keyOf(g.path), g.value]));
    this.state = said;
    this.problem = said.ok ? "" : said.words;
    if (isNew) { this.answer.clear(said); this.step = 0; }
    this.draw();
    if (isNew && said.judged) { this.follow(said.history.turn); }
  }

  draw() {
    const state = this.state;
    const kept = this.keepFocus();
    this.plate(state);
    this.onlyText(!state.case.reads);
    this.updates[TABS.findIndex(([name]) => name === this.chosen)](state);
    updateAll(state);
    kept();
    this.offer(state);
    this.drawing.setCase(state.case.drawing, this.unit || state.case.unit);
    this.tell();
  }

  /* What is no TOML opens in the tab Text only. */
  onlyText(only) {
    for (const [name] of TABS) { by("tab-" + name).hidden = only && name !== "text"; }
    if (only && this.chosen !== "text") { this.turnTo("text"); }
  }

  /* Where what had the focus goes away, its neighbour gets it. */
  keepFocus() {
    const active = document.activeElement;
    const panel = active && active.closest("[role=tabpanel]");
    if (!panel) { return () => {}; }
    const order = reachable(panel);
    const place = order.indexOf(active);
    return () => {
      if (active.isConnected && active.checkVisibility()) { return; }
      const near = [...order.slice(0, place).reverse(), ...order.slice(place + 1)].find((one) => one.isConnected && one.checkVisibility());
      (near || by("tab-" + this.chosen)).focus({ preventScroll: true });
    };
  }

  plate(state) {
    const { history, file } = state;
    const title = String(state.case.data.title || file.name);
    say(by("case-title"), title);
    document.title = title + " · gravity fuel feed";
    say(by("case-file"), file.name + (file.new ? " (new)" : ""));
    say(by("case-edition"), history.now + 1 + " of " + history.editions.length);
    const wrong = state.case.mistakes.length;
    const still = wrong === 1 ? "1 thing still to put right" : wrong + " things still to put right";
    say(by("case-saved"), (history.is_saved ? "saved" : "not saved") + (wrong ? "; " + still : ""));
    by("case-saved").classList.toggle("open", !history.is_saved);
    able(by("undo"), history.can_undo && state.holds);
    able(by("redo"), history.can_redo && state.holds);
    able(by("save"), state.holds);
  }

  offer(state) {
    const data = state.case.data;
    const names = (key) => (Array.isArray(data[key]) ? data[key] : []).map((row) => row && row.name).filter((n) => typeof n === "string");
    const outlets = (Array.isArray(data.tank) ? data.tank : []).flatMap((tank) => (tank && Array.isArray(tank.outlet) ? tank.outlet : []).map((o) => tank.name + "." + (o && o.name)));
    const nodes = [...names("junction"), ...names("tee"), ...names("selector")];
    const lists = { places: [...outlets, ...nodes, "engine"], lines: names("line"), tanks: names("tank"), things: [...names("line"), ...nodes, ...names("tank")] };
    for (const [name, words] of Object.entries(lists)) {
      const list = by("offer-" + name);
      if ([...list.children].map((o) => o.value).join("|") !== words.join("|")) { fill(list, words.map((word) => make("option", { value: word }))); }
    }
  }

  tell() { notices(by("notices"), this); }

  /* One change after the other; what was typed stays in its field until it is taken. */
  commit(steps, sent, words) {
    return inOrder(async () => {
      const said = await ask("/change", { turn: this.state.history.turn, steps, words: words || "" });
      if (sent) { sent(said); }
      if (said.places) { this.referred = { steps, words: said.words, places: said.places }; } else if (said.ok) { this.referred = null; }
      if (said.history) { this.take(said); } else { this.problem = said.lost ? "" : said.words || ""; this.tell(); }
      return said;
    });
  }

  travel(where, number) { return inOrder(async () => this.take(await ask("/travel", { turn: this.state.history.turn, where, number: number || 0 }))); }

  async save() {
    if (document.activeElement) { const field = [...every].find((f) => f.input === document.activeElement); if (field) { await field.write(); } }
    return inOrder(async () => { const said = await ask("/save", { turn: this.state.history.turn }); this.take(said); if (!said.ok && !said.lost) { this.problem = said.words; this.tell(); } return said; });
  }

  async close() {
    await ask("/close", {});
    this.closed = true;
    fill(by("notices"), make("p", { class: "warning" }, "flowsim has been stopped. What is not saved is kept beside the case and offered at the next start."));
  }

  /* Asks for the judgement of an edition until it is whole, or until there is a newer one. */
  async follow(turn) {
    let have = 0;
    while (this.state.history.turn === turn && have < 2 && !this.closed) {
      const said = await ask("/result", { turn, have, wait: 0.8 });
      if (this.state.history.turn !== turn) { return; }
      if (said.lost || !said.ok || said.turn !== turn) { if (said.lost || said.turn > turn) { return; } await pause(200); continue; }
      if (said.problem) { this.answer.showProblem(said.problem); return; }
      if (said.flows && have < 1) { this.answer.showFlows(said.flows); }
      if (said.verdict && said.step > 1) { this.answer.showVerdict(said.verdict, this.state); this.show.refresh(); }
      have = Math.max(have, said.step);
      this.step = have;
    }
  }

  async pulse() {
    for (;;) {
      await pause(1500);
      if (this.closed) { return; }
      const said = await ask("/pulse", {});
      if (!said.ok || !this.state) { continue; }
      if (JSON.stringify(said.file) !== JSON.stringify(this.state.file) || said.holds !== this.state.holds) {
        this.state.file = said.file;
        this.state.holds = said.holds;
        this.plate(this.state);
        this.tell();
      }
      if (said.turn !== this.state.history.turn) { await inOrder(async () => { if (said.turn > this.state.history.turn) { this.take(await ask("/state", {})); } }); }
    }
  }

  /* The program answers again: what was typed meanwhile goes out now. */
  again() {
    this.tell();
    for (const field of every) { if (field.isDirty && field.input !== document.activeElement) { field.write(); } }
    if (this.state && this.state.judged && this.step < 2) { this.follow(this.state.history.turn); }
  }

  /* --- going to a place of the case */

  goTo(path) {
    const name = this.tabOf(path);
    if (name !== this.chosen && !this.isHere(path)) { this.choose(name); }
    const field = fieldAt(path);
    if (field && startsWith(field.path, path.slice(0, 2))) { this.reveal(field.input); return; }
    for (let size = path.length; size > 0; size -= 1) {
      const head = document.querySelector('.card-head[data-path="' + CSS.escape(keyOf(path.slice(0, size))) + '"]');
      if (head) { this.reveal(head); return; }
    }
    this.reveal(field ? field.input : by("work"));
  }

  isHere(path) { const field = fieldOf(path); return Boolean(field && !field.root.closest("[role=tabpanel][hidden]")); }

  /* The tab in which a path is entered. */
  tabOf(path) {
    const rows = this.state.case.sheet.flatMap((block) => block.rows);
    if (rows.some((row) => row.path && startsWith(path, row.path))) { return "measure"; }
    const [top, , inner] = path;
    if (top === "line" && inner === "via" && path.length > 3) { return "measure"; }
    const found = Object.keys(CARDS).find((name) => CARDS[name].includes(top));
    if (found) { return found; }
    return top === "calibration" || top === undefined ? "text" : "engine";
  }

  goToMistake(mistake) {
    if (mistake.path.length) { this.goTo(mistake.path); return; }
    this.choose("text");
    this.markLine = mistake.line;
    this.draw();
    document.getElementById("case-text").focus();
  }

  reveal(element) {
    if (this.show.isOn) { this.show.toggle(); }
    const panel = element.closest('[role="tabpanel"]');
    if (panel) { this.choose(panel.id.replace("panel-", "")); }
    for (let box = element.closest("details"); box; box = box.parentElement.closest("details")) { box.open = true; }
    element.focus();
    element.scrollIntoView({ block: "center" });
  }

  /* --- changes of shape */

  /* Lets a field's own change go out before what follows it. */
  async settle(field, then) { await field.write(); await then(); }

  async insertCorner(line, place, axis) {
    const via = at(this.state.case.data, ["line", line, "via"]);
    const said = await this.commit([{ do: "insert", path: ["line", line, "via", Array.isArray(via) ? place : 0], value: ["", "", ""] }], null, "");
    if (said.ok) { this.focusOn(["line", line, "via", Array.isArray(via) ? place : 0, axis || 0]); }
  }

  async removeCorner(row, axis) {
    const [, line, , place] = row.path;
    const via = at(this.state.case.data, ["line", line, "via"]);
    const said = await this.commit([{ do: "remove", path: via.length === 1 ? ["line", line, "via"] : row.path }]);
    if (said.ok) { this.focusOn(via.length > 1 ? ["line", line, "via", Math.min(place, via.length - 2), axis] : [...this.firstOf(line), axis]); }
  }

  firstOf(line) {
    const block = this.state.case.sheet.find((b) => b.path[1] === line);
    const row = block && block.rows.find((r) => r.path && !r.first);
    return row ? row.path : ["engine", "inlet_at"];
  }

  focusOn(path) { const field = fieldAt(path); if (field) { field.input.focus(); if (field.input.select) { field.input.select(); } } }

  async addThing(key) {
    const rows = this.state.case.data[key];
    const value = { ...NEW[key] };
    if (value.name) { const taken = new Set((rows || []).map((r) => r.name)); let n = 1; const base = value.name; while (taken.has(value.name)) { n += 1; value.name = base + " " + n; } }
    const place = Array.isArray(rows) ? rows.length : 0;
    const said = await this.commit([{ do: "add", path: [key, place], value }]);
    if (said.ok) { this.reveal((fieldAt([key, place, "name"]) || fieldAt([key, place])).input); }
  }

  addLine() { this.choose("lines"); return this.addThing("line"); }

  async addInside(path, section, single) {
    const there = at(this.state.case.data, path);
    const form = this.forms[section] || [];
    const first = form.find((field) => field.required);
    const value = first ? { [first.key]: first.kind === "point" ? ["", "", ""] : "" } : {};
    const where = single ? path : [...path, Array.isArray(there) ? there.length : 0];
    const said = await this.commit([{ do: "add", path: where, value }]);
    if (said.ok) { const field = fieldAt(where); if (field) { this.reveal(field.input); } }
  }

  /* One more point of a list; in a list of cells, one more of the last cell, or a cell of its own. */
  async addPoint(path, inCell, newCell) {
    const there = at(this.state.case.data, path);
    const count = Array.isArray(there) ? there.length : 0;
    const deep = inCell && count > 0;
    const where = deep ? [...path, count - 1, there[count - 1].length] : [...path, count];
    const point = ["", "", ""];
    const said = await this.commit([{ do: "insert", path: where, value: newCell || (inCell && !deep) ? [point] : point }]);
    if (said.ok) { this.focusOn(newCell || (inCell && !deep) ? [...where, 0, 0] : [...where, 0]); }
  }

  async takeOut(path, withOthers) {
    const said = await this.commit([{ do: "remove", path, others_too: Boolean(withOthers) }]);
    return said;
  }

  async makeClimb(pitch) {
    const steps = [];
    const flight = this.state.case.data.flight || {};
    for (const key of ["rate_of_climb", "angle_of_attack", "incidence"]) { if (flight[key] !== undefined) { steps.push({ do: "type", path: ["flight", key], text: "" }); } }
    steps.push({ do: "type", path: ["flight", "climb_pitch"], text: pitch + " deg" });
    await this.commit(steps, null, "climb pitch: " + pitch + " deg");
  }

  mirror() { import("./mirror.js").then((made) => made.mirror(by("mirror-box"), this)); }

  handChecks(figure, path) { this.show.handChecks(figure, path); }

}

/* A button that is of no use now stays where the focus can be on it. */
function able(button, on) { button.setAttribute("aria-disabled", String(!on)); }
const isAble = (button) => button.getAttribute("aria-disabled") !== "true";
const reachable = (panel) => [...panel.querySelectorAll("a[href],button,input,select,textarea,summary,[tabindex]")].filter((one) => one.tabIndex >= 0);

const pause = (ms) => new Promise((done) => { setTimeout(done, ms); });

const page = new Page();
/* A new address pasted into the same tab differs only behind the #, which loads nothing by itself. */
window.addEventListener("hashchange", () => { if (location.hash.length > 1) { location.reload(); } });
page.start();

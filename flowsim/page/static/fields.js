/* Fields: never rebuilt; what is being written is never replaced. */

import { at, keyOf, make, say, shown, startsWith } from "./dom.js";

/* All fields that are on the page; one value may stand in two tabs. */
export const every = new Set();
let number = 0;
let commit = () => {};

export function whenWritten(work) { commit = work; }

const MARKS = { drawing: ["d", "from a drawing"], handbook: ["h", "from a handbook"], assumed: ["◇", "assumed"] };
const ORIGINS = ["", "measured", "drawing", "handbook", "assumed"];
const WITH_ORIGIN = new Set(["quantity", "number", "point"]);

/* A field for one value. about: path, kind, label, choices, words, required, units, example, bare. */
export class Field {
  constructor(about) {
    number += 1;
    this.about = about;
    this.path = about.path;
    this.id = "f" + number;
    this.shown = "";
    this.refusal = "";
    this.wrong = make("p", { class: "wrong", id: this.id + "-e", hidden: true });
    this.mark = make("span", { class: "mark", "aria-hidden": "true" });
    this.input = this.makeInput();
    this.input.classList.add("value");
    this.input.id = this.id;
    this.input.dataset.path = keyOf(this.path);
    this.label = make("label", { for: this.id }, about.label, about.required ? make("span", { class: "must", title: "required" }, " *") : null);
    this.root = make("div", { class: "field k-" + about.kind, "data-key": keyOf(this.path) });
    const cell = make("span", { class: "cell" }, this.input, this.mark);
    this.root.append(this.label, cell);
    if (WITH_ORIGIN.has(about.kind) && !about.bare) { this.root.append(this.originPart()); }
    if (about.words) {
      this.hint = make("p", { class: "hint", id: this.id + "-w" }, about.words + (about.example ? " For example " + about.example + "." : ""));
      this.root.append(this.hint);
    }
    this.root.append(this.wrong);
    if (about.bare) { this.label.classList.add("hidden"); }
    this.listen();
    every.add(this);
  }

  makeInput() {
    const about = this.about;
    if (about.kind === "choice" || about.kind === "yes_no") {
      const words = about.kind === "yes_no" ? ["true", "false"] : about.choices;
      return make("select", {}, make("option", { value: "" }, ""), words.map((word) => make("option", { value: word }, word)));
    }
    const input = make("input", { type: "text", autocomplete: "off", spellcheck: "false", autocapitalize: "off" });
    if (about.list) { input.setAttribute("list", about.list); }
    return input;
  }

  /* Where the value is from, its accuracy and a note, opened by the mark's button. */
  originPart() {
    const from = make("select", { "aria-label": this.about.label + ": where it is from" }, ORIGINS.map((word) => make("option", { value: word }, word || "not said")));
    const accuracy = make("input", { type: "text", "aria-label": this.about.label + ": accuracy", placeholder: "accuracy", autocomplete: "off" });
    const note = make("input", { type: "text", "aria-label": this.about.label + ": note", placeholder: "note", autocomplete: "off" });
    this.origin = { from, accuracy, note };
    const send = () => this.writeOrigin();
    for (const item of [from, accuracy, note]) { item.addEventListener("change", send); }
    const box = make("details", { class: "origin" }, make("summary", {}, "from"), make("div", {}, from, accuracy, note));
    this.originBox = box;
    return box;
  }

  async writeOrigin() {
    const { from, accuracy, note } = this.origin;
    const said = await commit([{ do: "origin", path: this.path, text: from.value, accuracy: accuracy.value, note: note.value, unit: this.about.unit || "" }]);
    this.refuse(said && !said.ok && !said.lost ? said.words : "");
  }

  get isDirty() { return this.input.value !== this.shown; }

  listen() {
    this.input.addEventListener("focus", () => this.focused(true));
    this.input.addEventListener("blur", () => { this.focused(false); this.write(); });
    if (this.input.tagName === "SELECT") { this.input.addEventListener("change", () => this.write()); }
    this.input.addEventListener("keydown", (event) => {
      if (event.key === "Escape") { this.restore(); event.preventDefault(); }
      else if (event.key === "Enter" && !this.about.bare && !event.ctrlKey) { this.write(); event.preventDefault(); }
    });
  }

  focused(on) { document.dispatchEvent(new CustomEvent("flowsim-row", { detail: on ? this.path : null })); }

  restore() { this.input.value = this.shown; this.refuse(""); }

  /* Sends what was typed; until the answer is there, and if it is refused, it stays as typed. */
  async write() {
    if (!this.isDirty) { return; }
    const typed = this.input.value;
    if (typed === this.sent) { return; }
    this.sent = typed;
    const step = { do: "type", path: this.path, text: typed, unit: this.about.unit || "" };
    if (this.above) { step.above = this.above(); }
    const said = await commit([step], (answer) => {
      this.sent = undefined;
      if (answer.ok && this.input.value === typed) { this.shown = typed; }
    });
    this.sent = undefined;
    this.refuse(said && !said.ok && !said.lost ? said.words : "");
  }

  refuse(words) { this.refusal = words; this.tell(); }

  /* Takes the value, its origin and what is filled in from the state. */
  update(state) {
    const value = at(state.case.data, this.path);
    const text = shown(value);
    const clean = !this.isDirty && this.sent === undefined;
    this.known = text;
    if (clean) {
      if (this.input.tagName === "SELECT" && text && ![...this.input.options].some((o) => o.value === text)) {
        this.input.append(make("option", { value: text }, text));
      }
      if (this.input.value !== text) { this.input.value = text; }
      this.shown = text;
      this.input.value = text;
    }
    const from = value && typeof value === "object" && !Array.isArray(value) ? value.from || "" : "";
    this.showOrigin(from, value);
    const taken = state.taken.get(keyOf(this.path)) || this.found;
    if (this.input.tagName === "INPUT") { this.input.placeholder = taken && !text ? taken : ""; }
    else if (this.input.options.length) { this.input.options[0].textContent = taken && !text ? taken : ""; }
    this.input.classList.toggle("assumed", from === "assumed");
  }

  showOrigin(from, value) {
    const mark = MARKS[from];
    say(this.mark, mark ? mark[0] : "");
    this.mark.title = mark ? mark[1] : "";
    this.mark.classList.toggle("is-assumed", from === "assumed");
    const has = this.input.value !== "" || this.isDirty;
    if (!this.origin) { return; }
    this.originBox.hidden = !has;
    const { from: select, accuracy, note } = this.origin;
    const active = document.activeElement;
    const table = value && typeof value === "object" && !Array.isArray(value) ? value : {};
    if (active !== select) { select.value = ORIGINS.includes(from) ? from : ""; }
    if (active !== accuracy) { accuracy.value = shown(table.accuracy); }
    if (active !== note) { note.value = shown(table.note); }
    const said = [from, table.accuracy !== undefined ? "± " + shown(table.accuracy) : "", table.note].filter(Boolean).join(", ");
    say(this.originBox.firstElementChild, said || "from");
  }

  setMistakes(sentences) {
    this.mistakes = sentences;
    this.tell();
  }

  tell() {
    const words = [this.refusal, ...(this.mistakes || [])].filter(Boolean);
    const wrong = words.length > 0;
    this.root.classList.toggle("is-wrong", wrong);
    if (wrong) { this.input.setAttribute("aria-invalid", "true"); } else { this.input.removeAttribute("aria-invalid"); }
    const told = [this.hint ? this.id + "-w" : "", wrong ? this.id + "-e" : ""].filter(Boolean).join(" ");
    if (told) { this.input.setAttribute("aria-describedby", told); } else { this.input.removeAttribute("aria-describedby"); }
    this.wrong.hidden = !wrong;
    this.wrong.replaceChildren(...words.flatMap((text, i) => (i ? [document.createElement("br"), text] : [text])));
    document.dispatchEvent(new CustomEvent("flowsim-told", { detail: this }));
  }

}

/* Drops the fields whose elements are no longer on the page. */
function tidy() { for (const field of every) { if (!field.root.isConnected) { every.delete(field); } } }

/* Fields that can be seen go before those of other tabs. */
const isSeen = (field) => !field.root.closest("[role=tabpanel][hidden]");
export function fieldOf(path) {
  const key = keyOf(path);
  const found = [...every].filter((field) => field.root.isConnected && keyOf(field.path) === key);
  return found.find(isSeen) || found[0] || null;
}

/* Brings every field that can be seen up to date, and each mistake to its field. */
export function updateAll(state) {
  tidy();
  const seen = new Map();
  for (const field of every) { if (isSeen(field)) { seen.set(keyOf(field.path), field); } }
  const told = new Map();
  for (const mistake of state.case.mistakes) {
    const key = homeOf(mistake.path, seen);
    if (key) { told.set(key, [...(told.get(key) || []), sentence(mistake)]); }
  }
  for (const field of every) {
    if (!isSeen(field)) { continue; }
    field.update(state);
    field.setMistakes(told.get(keyOf(field.path)) || []);
  }
}

/* The field of a path; else the first of what it holds; else the one that holds it. */
function homeOf(path, seen) {
  for (let size = path.length; size > 0; size -= 1) {
    const key = keyOf(path.slice(0, size));
    if (seen.has(key)) { return key; }
    if (size === path.length) {
      const first = keyOf([...path, 0]);
      if (seen.has(first)) { return first; }
    }
  }
  return null;
}

/* What the check prints, without the file and the line. */
export const sentence = (mistake) => (mistake.item ? mistake.item + ": " : "") + mistake.words;

export function fieldAt(path) {
  for (let size = path.length; size > 0; size -= 1) {
    const found = fieldOf(path.slice(0, size));
    if (found) { return found; }
  }
  return [...every].find((field) => field.root.isConnected && startsWith(field.path, path)) || null;
}

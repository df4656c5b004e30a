/* For a counsellor: forms shut, large, printable; and the hand check behind each part. */

import { fill, make, say } from "./dom.js";
import { ask } from "./net.js";

const by = (id) => document.getElementById(id);

export class Show {
  constructor(page) { this.page = page; this.isOn = false; }

  async toggle() {
    this.isOn = !this.isOn;
    by("show").setAttribute("aria-pressed", String(this.isOn));
    by("desk").hidden = this.isOn;
    by("sheet-to-show").hidden = !this.isOn;
    document.body.classList.toggle("showing", this.isOn);
    if (this.isOn) { await this.fill(); } else { by("show").focus(); }
  }

  refresh() { if (this.isOn) { this.fill(); } }

  async fill() {
    const root = by("sheet-to-show");
    const { page } = this;
    const turn = page.state.history.turn;
    const found = await ask("/shown", {});
    if (!found.ok || turn !== page.state.history.turn || !this.isOn) { return; }
    const copy = (id) => { const item = by(id).cloneNode(true); item.removeAttribute("id"); for (const one of item.querySelectorAll("[id]")) { one.id = "s-" + one.id; } for (const one of item.querySelectorAll("[aria-labelledby]")) { one.setAttribute("aria-labelledby", "s-" + one.getAttribute("aria-labelledby")); } item.hidden = false; return item; };
    const judged = page.state.judged;
    const saved = page.state.history.is_saved;
    const report = make("button", { type: "button", id: "make-report", onclick: () => this.report() }, "Make the report");
    fill(root,
      make("p", { class: "meta" }, page.state.file.name + " · edition " + (page.state.history.now + 1) + (saved ? ", saved" : ", not saved") + " · " + found.date),
      make("div", { class: "tools no-print" }, make("button", { type: "button", onclick: () => window.print() }, "Print"), report, make("button", { type: "button", onclick: () => this.toggle() }, "Back to the sheet")),
      make("p", { class: "note no-print", id: "report-said", "aria-live": "polite" }),
      copy("word"), make("p", { class: "standing" }, "An estimate, not an approval. The ground test decides. Local rules, the makers' instructions and licensed practice come first."),
      judged ? copy("headline") : null,
      judged && page.answer.verdict ? make("p", {}, "Not measured: " + page.answer.verdict.rests + ".") : null,
      changesTable(found),
      make("section", {}, make("h2", {}, "Cautions"), make("ul", {}, this.cautions().map((text) => make("li", {}, text)))),
      make("section", { class: "pictures" }, make("h2", {}, "The system"), copySvg(by("drawing").querySelector("svg.system")), make("p", { class: "note" }, by("drawing-words").textContent), make("p", {}, by("at-read").textContent)),
      judged ? make("section", { class: "pictures" }, [...by("curves").children].map((c) => c.cloneNode(true))) : null,
      judged ? make("section", { class: "pictures" }, [...by("heads").querySelectorAll("h2, figure")].map((c) => c.cloneNode(true))) : null,
      judged ? copy("answer-blocks") : null,
      inputsTables(found.inputs));
    root.querySelector("button").focus({ preventScroll: true });
    window.scrollTo(0, 0);
  }

  cautions() { const v = this.page.answer.verdict; return v ? v.cautions.map((c) => c.text) : [...this.page.forms.always, ...this.page.state.case.remarks.map((r) => r.text)]; }

  async report() {
    const said = by("report-said");
    say(said, "Making the report; this takes some seconds.");
    const found = await ask("/report", {});
    say(said, found.ok ? "Written into the folder " + found.folder + " beside the case: " + found.files.join(", ") + ". Verdict: " + found.words + "." + (found.missing ? " " + found.missing : "") : found.words);
  }

  /* Each part's name in a picture of head opens its working by hand. */
  handChecks(figure, path) {
    const names = [...figure.querySelectorAll('svg text[x="10"]')].slice(0, -1);
    names.forEach((text, row) => {
      text.setAttribute("tabindex", "0");
      text.setAttribute("role", "button");
      text.classList.add("part");
      const open = () => this.openHand(path, row, text);
      text.addEventListener("click", open);
      text.addEventListener("keydown", (event) => { if (event.key === "Enter" || event.key === " ") { event.preventDefault(); open(); } });
    });
  }

  openHand(path, row, from) {
    const { verdict } = this.page.answer;
    const box = by("hand");
    if (!verdict) { fill(box, make("p", { class: "note" }, "Its hand check comes with the verdict.")); return; }
    const step = (verdict.hand[path] || [])[row];
    if (!step) { return; }
    fill(box, make("div", { class: "notice" }, make("h3", { tabindex: "-1" }, "By hand: " + step.title), step.lines.map((line) => make("p", { class: "calc" }, line)), make("p", { class: "calc res" }, step.result), make("p", { class: "note" }, "source: " + step.source), make("p", { class: "tools" }, make("button", { type: "button", onclick: () => { fill(box); from.focus(); } }, "Shut"))));
    box.querySelector("h3").focus();
    box.scrollIntoView({ block: "nearest" });
  }
}

function copySvg(svg) { const item = svg.cloneNode(true); item.removeAttribute("aria-labelledby"); item.setAttribute("aria-label", "The system"); return make("figure", { class: "wide" }, item); }

function changesTable(found) {
  if (!found.changes.length) { return make("p", {}, "Nothing was changed since the case was opened."); }
  const head = (words) => make("thead", {}, make("tr", {}, words.map((w) => make("th", { scope: "col" }, w))));
  const rows = (list) => make("tbody", {}, list.map((cells) => make("tr", {}, cells.map((c, i) => make(i ? "td" : "th", { scope: i ? null : "row" }, c)))));
  return make("section", {}, make("h2", {}, "What was changed"),
    make("table", {}, head(["change", "least flow before", "and after, % of required"]), rows(found.changes.map((c) => [c.words, c.before, c.after]))),
    found.values.length ? make("table", {}, head(["value", "before", "now"]), rows(found.values)) : null);
}

function inputsTables(sections) {
  return make("section", { class: "inputs" }, make("h2", {}, "What went in"), make("p", { class: "note" }, "◇ assumed; d drawing; h handbook; no mark: measured, or not said. What the program filled in stands last."),
    sections.map((one) => make("div", { class: "input-block" }, make("h3", {}, one.section), make("table", {}, make("tbody", {}, one.rows.map(([what, value, mark, about]) => make("tr", {}, make("th", { scope: "row" }, what), make("td", {}, value), make("td", { class: "mark" + (mark.includes("◇") ? " is-assumed" : "") }, mark), make("td", { class: "note" }, about))))))));
}

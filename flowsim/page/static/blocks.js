/* The report's own blocks, as elements. */

import { make, picture } from "./dom.js";

export function blocks(list) { return list.map(block).filter(Boolean); }

export function block(one) {
  if (one.type === "words") { return make("p", { class: one.tone }, one.text); }
  if (one.type === "heading") { return make("h3", {}, one.text); }
  if (one.type === "bullets") { return make("ul", {}, one.items.map((text) => make("li", {}, text))); }
  if (one.type === "pairs") { return make("dl", { class: "pairs" }, one.rows.flatMap(([name, text], i) => [name || !i ? make("dt", {}, name || "-") : null, make("dd", {}, text)])); }
  if (one.type === "table") { return table(one); }
  if (one.type === "figure") { return figure(one); }
  if (one.type === "steps") { return make("ol", { class: "steps" }, one.steps.map((step) => make("li", {}, make("b", {}, step.title), step.lines.flatMap((l) => [make("br"), make("span", { class: "calc" }, l)]), make("br"), make("span", { class: "calc res" }, step.result), make("br"), make("span", { class: "src" }, "source: " + step.source)))); }
  return null;
}

export function figure(one) {
  return make("figure", {}, picture(one.svg), make("figcaption", {}, one.caption));
}

function table(one) {
  const row = (cells, tag) => make("tr", {}, cells.length === 1 && one.columns.length > 1
    ? make("th", { class: "across", scope: "rowgroup", colspan: one.columns.length }, cells[0])
    : cells.map((cell, i) => make(tag || (i ? "td" : "th"), { scope: tag ? "col" : i ? null : "row", class: one.columns[i] && one.columns[i].numeric ? "num" : null }, cell.trim())));
  return make("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": one.caption || "table" }, make("table", {},
    one.caption ? make("caption", {}, one.caption) : null,
    make("thead", {}, row(one.columns.map((c) => c.name || "-"), "th")),
    make("tbody", {}, one.rows.map((cells) => row(cells))),
    one.foot.length ? make("tfoot", {}, one.foot.map((cells) => row(cells))) : null));
}

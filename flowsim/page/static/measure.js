/* The measuring sheet: each line from its start through its corners to its end. */

import { at, fill, keyOf, make, say, shown, sync } from "./dom.js";
import { Field, every } from "./fields.js";

const AXES = ["aft", "right", "up"];
const ORIGINS = ["", "measured", "drawing", "handbook", "assumed"];
let page = null;

export function measure(root, thePage) {
  page = thePage;
  const unit = make("select", { id: "sheet-unit", "aria-label": "Unit of the sheet" }, ["in", "ft", "mm", "cm", "m"].map((u) => make("option", { value: u }, u)));
  unit.addEventListener("change", () => { page.unit = unit.value; page.draw(); });
  const blocks = make("div", { class: "blocks" });
  root.append(
    make("div", { class: "tools" },
      make("label", { class: "inline" }, "Numbers without a unit are in ", unit),
      make("button", { type: "button", onclick: () => page.mirror() }, "Mirror…"),
      make("button", { type: "button", onclick: () => page.addLine() }, "New line"),
      make("details", { class: "keys" }, make("summary", {}, "Keys"), make("ul", {},
        ["Enter: the cell below. Shift+Enter: above. Tab: across. Esc: as it was.",
         "Ctrl+Enter: a corner below. Ctrl+Delete: this corner out.",
         "= as above, =-14 fourteen less than above. 31 1/2 takes the sheet's unit.",
         "0.305 in ? is assumed. 0.305 in +- 0.003 has that accuracy.",
         "A block copied from a spreadsheet fills the cells from here on."].map((words) => make("li", {}, words))))),
    make("div", { id: "mirror-box" }), blocks);
  return (state) => update(state, unit, blocks);
}

function update(state, unit, blocks) {
  if (!page.unit) { page.unit = state.case.unit; }
  if (document.activeElement !== unit) { unit.value = page.unit; }
  sync(blocks, state.case.sheet, (block) => keyOf(block.path), makeBlock, (item, block) => updateBlock(item, block, state));
}

function makeBlock(block) {
  const body = make("tbody");
  const heads = ["place", ...AXES, "from", "accuracy"].map((words) => make("th", { scope: "col" }, words));
  return make("section", { class: "block" }, make("h3"), make("table", { class: "sheet" }, make("thead", {}, make("tr", {}, heads)), body),
    make("p", { class: "tools" },
      make("button", { type: "button", class: "corner-first" }, "Corner after the start")));
}

function updateBlock(item, block, state) {
  say(item.querySelector("h3"), 'Line "' + block.line + '"');
  const button = item.querySelector(".corner-first");
  button.onclick = () => page.insertCorner(block.path[1], 0);
  const rows = block.rows.map((row, i) => ({ ...row, index: i, block }));
  sync(item.querySelector("tbody"), rows, (row) => (row.first || !row.path ? "see " + row.role + row.place : keyOf(row.path)), (row) => makeRow(row), (tr, row) => updateRow(tr, row, state));
}

function makeRow(row) {
  const head = make("th", { scope: "row" });
  if (row.first || !row.path) {
    return make("tr", { class: "row-" + row.role + " shared" }, head, make("td", { colspan: 5 }));
  }
  const tr = make("tr", { class: "row-" + row.role, "data-point": keyOf(row.path) }, head);
  tr.fields = AXES.map((axis, i) => {
    const field = new Field({ path: [...row.path, i], kind: "point", label: row.place + ", " + axis, bare: true, axis: i, get unit() { return page.unit; } });
    field.above = () => aboveOf(field);
    field.input.addEventListener("keydown", (event) => keys(event, field, tr));
    field.input.addEventListener("paste", (event) => paste(event, field));
    const cell = make("td", { "data-axis": axis }, field.root);
    tr.append(cell);
    return field;
  });
  const from = make("select", { "aria-label": row.place + ": where it is from" }, ORIGINS.map((word) => make("option", { value: word }, word)));
  const accuracy = make("input", { type: "text", autocomplete: "off", "aria-label": row.place + ": accuracy" });
  const send = async () => {
    const said = await page.commit([{ do: "origin", path: row.path, text: from.value, accuracy: accuracy.value, unit: page.unit }]);
    if (said && !said.ok) { tr.fields[0].refuse(said.words); } else { tr.fields[0].refuse(""); }
  };
  from.addEventListener("change", send);
  accuracy.addEventListener("change", send);
  tr.append(make("td", { "data-axis": "from" }, from), make("td", { "data-axis": "accuracy" }, accuracy));
  tr.origin = { from, accuracy };
  return tr;
}

function updateRow(tr, row, state) {
  tr.row = row;
  const head = tr.firstElementChild;
  if (!row.path) {
    say(head, row.place || (row.role === "start" ? "start" : "end"));
    say(tr.lastElementChild, row.found ? row.found.map(inUnit).join(", ") + ", mirrored from the other side" : row.place ? "there is no such place yet" : "name it in the tab Lines");
    return;
  }
  if (row.first) {
    say(head, row.place);
    const where = JSON.parse(keyOf(row.path));
    const point = at(state.case.data, row.path);
    const words = Array.isArray(point) ? point.map(shown).join(", ") : "";
    if (tr.lastElementChild.dataset.said !== row.first + words) {
      tr.lastElementChild.dataset.said = row.first + words;
      fill(tr.lastElementChild, words + " ", make("a", { href: "#", onclick: (e) => { e.preventDefault(); page.goTo([...where, 0]); } }, 'entered under line "' + row.first + '"'));
    }
    return;
  }
  say(head, row.place);
  const point = at(state.case.data, row.path);
  const tables = (Array.isArray(point) ? point : []).map((v) => (v && typeof v === "object" ? v : {}));
  const common = (name) => { const all = tables.map((t) => shown(t[name])); return all.every((v) => v === all[0]) ? all[0] || "" : "mixed"; };
  const { from, accuracy } = tr.origin;
  const said = common("from");
  if (![...from.options].some((o) => o.value === said)) { from.append(make("option", { value: said }, said)); }
  if (document.activeElement !== from) { from.value = said; }
  if (document.activeElement !== accuracy) { accuracy.value = common("accuracy"); }
  tr.fields.forEach((field, i) => { field.found = row.found ? inUnit(row.found[i]) : ""; });
}

function inUnit(mm) {
  const size = { in: 25.4, ft: 304.8, mm: 1, cm: 10, m: 1000 }[page.unit] || 25.4;
  return (Math.round((mm / size) * 100) / 100) + " " + page.unit;
}

/* All rows that can be written in, from top to foot. */
const rowsOf = () => [...document.querySelectorAll("#panel-measure tr[data-point]")];

function neighbour(field, by) {
  const rows = rowsOf();
  const tr = field.root.closest("tr");
  const next = rows[rows.indexOf(tr) + by];
  return next ? next.fields[field.about.axis] : null;
}

function aboveOf(field) {
  const above = neighbour(field, -1);
  return above ? above.path : [];
}

function keys(event, field, tr) {
  const row = tr.row;
  if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) {
    event.preventDefault();
    page.settle(field, () => page.insertCorner(row.block.path[1], cornerAfter(row), field.about.axis));
  } else if (event.key === "Delete" && (event.ctrlKey || event.metaKey)) {
    event.preventDefault();
    if (row.role === "corner") { page.removeCorner(row, field.about.axis); }
  } else if (event.key === "Enter") {
    event.preventDefault();
    const next = neighbour(field, event.shiftKey ? -1 : 1);
    if (next) { next.input.focus(); next.input.select(); } else { field.write(); }
  }
}

/* Where a corner below a row goes among the line's corners. */
function cornerAfter(row) {
  if (row.role === "start") { return 0; }
  return row.role === "corner" ? row.path[3] + 1 : row.block.rows.length - 2;
}

/* A block from a spreadsheet: tabs across, lines down, from this cell on; one change. */
function paste(event, field) {
  const text = event.clipboardData.getData("text/plain");
  const block = text.replace(/\r/g, "").replace(/\n$/, "").split("\n").map((line) => line.split("\t"));
  if (block.length === 1 && block[0].length === 1) { return; }
  event.preventDefault();
  const rows = rowsOf();
  const first = rows.indexOf(field.root.closest("tr"));
  const steps = [];
  block.forEach((cells, down) => cells.forEach((cell, across) => {
    const tr = rows[first + down];
    const target = tr && tr.fields[field.about.axis + across];
    if (target && cell.trim()) {
      const above = down ? rows[first + down - 1].fields[target.about.axis].path : aboveOf(target);
      steps.push({ do: "type", path: target.path, text: cell, unit: page.unit, above });
    }
  }));
  if (steps.length) { page.commit(steps, null, steps.length + " cells pasted"); }
}

export function firstToFill() {
  const rows = rowsOf();
  for (const tr of rows) {
    for (const field of tr.fields) { if (field.mistakes && field.mistakes.length) { return field; } }
  }
  for (const tr of rows) {
    for (const field of tr.fields) { if (!field.input.value && !field.input.placeholder) { return field; } }
  }
  return rows.length ? rows[0].fields[0] : [...every][0];
}

/* The tabs made of cards: a card for each section, with the fields of its form. */

import { at, keyOf, make, say, shown, startsWith, sync } from "./dom.js";
import { Field } from "./fields.js";

let page = null;
const POINT = ["aft", "right", "up"];
export const TABS = {
  lines: ["line", "defaults", "stock", "tee", "junction", "selector", "drain", "vent_line", "obstacle", "crossing"],
  tanks: ["tank", "start"],
  engine: ["", "fuel", "engine", "flight", "test", "ground", "routing", "phase"],
};
const CALLED = { "": "The case", fuel: "Fuel", engine: "Engine", flight: "Flight", test: "Ground test", ground: "On the ground", routing: "Routing", tank: "Tank", line: "Line", defaults: "For every line and fitting that does not say it itself", stock: "Stock", tee: "Tee", junction: "Junction", selector: "Selector", drain: "Drain", start: "Fuel at the start", phase: "Phase of flight", obstacle: "Obstacle", crossing: "Crossing", vent_line: "Vent line" };
/* Keys whose words are names of other things, with the list that offers them. */
const OFFERS = { from: "places", to: "places", reaches: "things", line: "lines", tank: "tanks", branch: "lines", common: "lines", outlet: "lines", part: "parts", material: "materials", kind: "fuels" };

export function cards(name, root, thePage) {
  page = thePage;
  const box = make("div", { class: "cards" });
  const adds = make("div", { class: "tools", role: "group", "aria-label": "Add" });
  root.append(adds, box);
  for (const key of TABS[name]) {
    const form = page.forms.CaseFile.find((field) => field.key === key);
    if (form && form.kind === "sections") {
      adds.append(make("button", { type: "button", onclick: () => page.addThing(key) }, "New " + CALLED[key].toLowerCase()));
    }
  }
  return (state) => sync(box, wanted(name, state), (card) => keyOf(card.path), makeCard, (item, card) => updateCard(item, card, state));
}

/* Which cards a tab has: every section that is there, and single ones that could be. */
function wanted(name, state) {
  const found = [];
  for (const key of TABS[name]) {
    if (key === "") { found.push({ path: [], section: "CaseFile", called: CALLED[key], flat: true }); continue; }
    const form = page.forms.CaseFile.find((field) => field.key === key);
    if (!form) { continue; }
    const there = state.case.data[key];
    if (form.kind === "section") { found.push({ path: [key], section: form.section, called: CALLED[key], form, there: there !== undefined }); continue; }
    (Array.isArray(there) ? there : []).forEach((row, i) => found.push({ path: [key, i], section: form.section, called: CALLED[key], form, there: true }));
  }
  return found;
}

function makeCard(card) {
  const own = make("div", { class: "fields" });
  const more = make("details", { class: "more" }, make("summary", {}, "More that may be given"), make("div", { class: "fields" }));
  const inside = make("div", { class: "inside" });
  const tools = make("span", { class: "card-tools" });
  const head = make(card.path.length > 2 ? "h4" : "h3", { class: "card-head", tabindex: "-1", "data-path": keyOf(card.path) });
  const wrong = make("p", { class: "wrong", hidden: true });
  const item = make("section", { class: "card" }, make("div", { class: "card-top" }, head, tools), wrong, own, inside, more);
  item.entries = new Map();
  item.parts = { own, more, inside, tools, head, wrong };
  return item;
}

function updateCard(item, card, state) {
  const { own, more, inside, tools, head, wrong } = item.parts;
  const value = card.path.length ? at(state.case.data, card.path) : state.case.data;
  const table = value && typeof value === "object" && !Array.isArray(value) ? value : {};
  const name = shown(table.name || table.part);
  say(head, card.called + (name ? ' "' + name + '"' : ""));
  item.card = card;
  if (!tools.childElementCount) { fillTools(tools, card); }
  tools.hidden = !card.there || card.flat;
  const told = state.case.mistakes.filter((m) => keyOf(m.path) === keyOf(card.path) && card.path.length);
  wrong.hidden = !told.length;
  say(wrong, told.map((m) => (m.item ? m.item + ": " : "") + m.words).join("\n"));
  const form = (page.forms[card.section] || []).filter((field) => !(card.flat && field.kind.startsWith("section")));
  const known = new Set(form.map((field) => field.key));
  const strange = Object.keys(table).filter((key) => !known.has(key) && !card.flat).map((key) => ({ key, label: key, kind: "text", words: "", strange: true }));
  const simple = [...form, ...strange].filter((field) => !field.kind.startsWith("section"));
  const inner = form.filter((field) => field.kind.startsWith("section"));
  const isThere = (field) => table[field.key] !== undefined;
  const needed = (field) => field.required && card.there !== false;
  const wrongAt = (field) => state.case.mistakes.some((m) => startsWith(m.path, [...card.path, field.key]));
  const focusedIn = (box, field) => { const entry = item.entries.get(field.key); return Boolean(entry && box.contains(entry) && entry.contains(document.activeElement)); };
  const first = simple.filter((field) => focusedIn(own, field) || (!focusedIn(more, field) && (isThere(field) || needed(field) || wrongAt(field))));
  const entryOf = (field) => { if (!item.entries.has(field.key)) { item.entries.set(field.key, makeEntry(card, field)); } return item.entries.get(field.key); };
  const rest = simple.filter((field) => !first.includes(field));
  const spare = [...rest, ...inner.filter((field) => !isThere(field)).map((field) => ({ ...field, spare: true }))];
  sync(own, first, (field) => field.key, entryOf, (entry, field) => updateEntry(entry, field, card, state));
  sync(more.lastElementChild, spare, (field) => field.key + (field.spare ? "+" : ""), (field) => (field.spare ? makeSpare(card, field) : entryOf(field)), (entry, field) => { if (!field.spare) { updateEntry(entry, field, card, state); } });
  more.hidden = !spare.length;
  sync(inside, innerCards(card, inner, table), (one) => keyOf(one.path) + (one.adds ? "+" : ""), (one) => (one.adds ? makeAdder(one) : makeCard(one)), (entry, one) => { if (!one.adds) { updateCard(entry, one, state); } });
}

function innerCards(card, inner, table) {
  const found = [];
  for (const field of inner) {
    const there = table[field.key];
    if (there === undefined) { continue; }
    const path = [...card.path, field.key];
    const called = field.label[0].toUpperCase() + field.label.slice(1);
    if (Array.isArray(there)) {
      const single = { parts: "Part", outlet: "Outlet", dips: "Dip" }[field.key] || called;
      there.forEach((row, i) => found.push({ path: [...path, i], section: field.section, called: single + " " + (i + 1), there: true, list: there.length }));
      found.push({ path, section: field.section, called: single, adds: true, count: there.length });
    } else { found.push({ path, section: field.section, called, there: true }); }
  }
  return found;
}

function makeAdder(one) {
  return make("p", { class: "tools" }, make("button", { type: "button", onclick: () => page.addInside(one.path, one.section) }, "One more " + one.called.toLowerCase()));
}

function makeSpare(card, field) {
  return make("p", { class: "spare" }, make("button", { type: "button", onclick: () => page.addInside([...card.path, field.key], field.section, field.kind === "section") }, "Give " + field.label), make("span", { class: "hint" }, " " + field.words));
}

function fillTools(tools, card) {
  const named = at(page.state.case.data, [...card.path, "name"]) !== undefined || card.path.length;
  if (card.list) {
    const place = card.path[card.path.length - 1];
    tools.append(make("button", { type: "button", title: "Move before the one above", onclick: () => page.commit([{ do: "move", path: card.path, value: Math.max(0, place - 1) }]) }, "Up"));
  }
  if (named) { tools.append(make("button", { type: "button", class: "out", onclick: () => page.takeOut(card.path) }, "Take out")); }
}

function makeEntry(card, field) {
  const path = [...card.path, field.key];
  const entry = make("div", { class: "entry" });
  const about = { ...field, path, example: exampleOf(field), list: listOf(card, field) };
  if (field.kind === "point") { entry.append(pointEntry(path, field)); return entry; }
  if (field.kind === "map") { entry.append(make("fieldset", { class: "map" }, make("legend", {}, field.label), make("p", { class: "hint" }, field.words), make("div", { class: "map-rows" }), mapAdder(path))); return entry; }
  if (field.kind === "list" && (field.item === "point" || field.item === "list")) { entry.append(make("fieldset", { class: "points" }, make("legend", {}, field.label), make("p", { class: "hint" }, field.words), make("div", { class: "point-rows" }), pointAdder(path, field.item === "list"))); return entry; }
  const made = new Field(about);
  entry.append(made.root);
  return entry;
}

function exampleOf(field) {
  if (field.example === null || field.example === undefined) { return ""; }
  return Array.isArray(field.example) ? field.example.map(shown).join(", ") : typeof field.example === "object" ? "" : String(field.example);
}

function listOf(card, field) {
  const offer = OFFERS[field.key];
  if (!offer || field.kind !== "text") { return null; }
  if (offer === "fuels" && card.section !== "FuelSection") { return null; }
  if (field.key === "outlet" && card.section !== "SelectorSection") { return null; }
  if (field.key === "to" && card.section !== "LineSection") { return null; }
  return "offer-" + offer;
}

function pointRow(path, words, level) {
  const row = make("div", { class: "point", "data-point": keyOf(path), role: "group", "aria-label": words });
  row.append(make("span", { class: level ? "point-name" : "point-name alone" }, words));
  POINT.forEach((axis, i) => {
    const field = new Field({ path: [...path, i], kind: "point", label: words + ", " + axis, bare: true, axis: i, get unit() { return page.unit || page.state.case.unit; } });
    field.input.addEventListener("keydown", (event) => { if (event.key === "Enter") { field.write(); event.preventDefault(); } });
    row.append(make("label", { class: "axis" }, make("span", {}, axis), field.root));
  });
  if (level) { row.append(make("button", { type: "button", class: "out", "aria-label": words + ": take out", onclick: () => page.commit([{ do: "remove", path }]) }, "Out")); }
  return row;
}

function pointEntry(path, field) {
  return make("fieldset", { class: "points" }, make("legend", {}, field.label + (field.required ? " *" : "")), make("p", { class: "hint" }, field.words), pointRow(path, field.label, 0));
}

function pointAdder(path, nested) {
  const button = (words, work) => make("button", { type: "button", onclick: work }, words);
  return make("p", { class: "tools" }, button("One more point", () => page.addPoint(path, nested)), nested ? button("One more cell", () => page.addPoint(path, false, true)) : null);
}

function mapAdder(path) {
  const input = make("input", { type: "text", "aria-label": "Name of a new one", placeholder: "name of a new one", autocomplete: "off" });
  const add = () => { const name = input.value.trim(); if (name) { input.value = ""; page.commit([{ do: "add", path: [...path, name], value: path[2] === "positions" ? [] : "" }]); } };
  input.addEventListener("keydown", (event) => { if (event.key === "Enter") { event.preventDefault(); add(); } });
  return make("p", { class: "tools" }, input, make("button", { type: "button", onclick: add }, "Add"));
}

function updateEntry(entry, field, card, state) {
  const path = [...card.path, field.key];
  const value = at(state.case.data, path);
  const rows = entry.querySelector(".point-rows");
  if (rows) { sync(rows, pointsIn(value, path), (one) => keyOf(one.path), (one) => pointRow(one.path, field.label + " " + one.words, 1)); }
  const names = entry.querySelector(".map-rows");
  if (names) { sync(names, Object.keys(value || {}), (name) => name, (name) => mapRow(path, name, field)); }
}

function pointsIn(value, path) {
  if (!Array.isArray(value)) { return []; }
  return value.flatMap((one, i) => {
    const inner = Array.isArray(one) && one.length && Array.isArray(one[0]) ? pointsIn(one, [...path, i]) : null;
    return inner ? inner.map((p) => ({ ...p, words: i + 1 + "." + p.words })) : [{ path: [...path, i], words: String(i + 1) }];
  });
}

function mapRow(path, name) {
  const ports = path[2] === "ports";
  const field = new Field({ path: [...path, name], kind: ports ? "text" : "names", label: name, words: "", list: ports ? "offer-lines" : null });
  const called = make("input", { type: "text", value: name, "aria-label": name + ": its name", autocomplete: "off", class: "map-name" });
  called.addEventListener("change", () => { if (called.value.trim() && called.value.trim() !== name) { page.commit([{ do: "rename_key", path: [...path, name], text: called.value }]); } });
  field.label.classList.add("hidden");
  return make("div", { class: "map-row" }, called, field.root,
    make("button", { type: "button", class: "out", "aria-label": name + ": take out", onclick: () => page.commit([{ do: "remove", path: [...path, name] }]) }, "Out"));
}

/* Small helpers: elements, lists that keep their elements, values by path. */

const NS = "http://www.w3.org/2000/svg";

export function make(name, looks, ...inside) {
  const item = document.createElement(name);
  dress(item, looks);
  put(item, inside);
  return item;
}

export function draw(name, looks, ...inside) {
  const item = document.createElementNS(NS, name);
  dress(item, looks);
  put(item, inside);
  return item;
}

function dress(item, looks) {
  for (const [name, value] of Object.entries(looks || {})) {
    if (value === null || value === undefined || value === false) { continue; }
    if (name.startsWith("on")) { item.addEventListener(name.slice(2), value); }
    else if (value === true) { item.setAttribute(name, ""); }
    else { item.setAttribute(name, value); }
  }
}

function put(item, inside) {
  for (const one of inside.flat()) {
    if (one !== null && one !== undefined) { item.append(one); }
  }
}

export function fill(item, ...inside) { item.replaceChildren(); put(item, inside); return item; }

export function say(item, words) { if (item.textContent !== words) { item.textContent = words; } }

/* Lets a parent hold one child for each item, by key; children that stay are not touched. */
export function sync(parent, items, keyOf, makeOne, update) {
  const there = new Map([...parent.children].map((child) => [child.dataset.key, child]));
  const wanted = new Set(items.map(keyOf));
  for (const [key, child] of there) { if (!wanted.has(key)) { child.remove(); } }
  let before = null;
  for (const item of items) {
    const key = keyOf(item);
    let child = there.get(key);
    if (!child) { child = makeOne(item); child.dataset.key = key; }
    const place = before ? before.nextElementSibling : parent.firstElementChild;
    if (place !== child) { moveBefore(parent, child, place); }
    if (update) { update(child, item); }
    before = child;
  }
}

/* Moves a child, and gives the focus back if it was in it. */
function moveBefore(parent, child, place) {
  const active = child.contains(document.activeElement) ? document.activeElement : null;
  parent.insertBefore(child, place);
  if (active && document.activeElement !== active) { active.focus({ preventScroll: true }); }
}

export const keyOf = (path) => JSON.stringify(path);
export const startsWith = (path, start) => start.length <= path.length && start.every((step, i) => step === path[i]);

export function at(data, path) {
  for (const step of path) {
    if (data === null || typeof data !== "object") { return undefined; }
    data = data[step];
  }
  return data;
}

/* A value as it stands in a field: the value of a table that says where it is from. */
export function shown(value) {
  if (value === undefined || value === null) { return ""; }
  if (Array.isArray(value)) { return value.map(shown).join(", "); }
  if (typeof value === "object") { return "value" in value ? shown(value.value) : ""; }
  return String(value);
}

/* A picture from the program, read as a document and never set as markup. */
export function picture(text) {
  const read = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  return document.importNode(read, true);
}

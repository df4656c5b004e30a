/* The system's drawing: true proportion, side, top and front; it turns while pitch is dragged. */

import { draw, fill, keyOf, make, startsWith } from "./dom.js";

const VIEWS = { side: "Side", top: "Top", front: "Front" };
const REACH = [-15, 0, 15, 30];

/* Turned by pitch [deg], nose-up positive, nose to the left; up on the page is against gravity. */
function turned(view, at, pitch) {
  if (view === "top") { return [at[0], at[1]]; }
  if (view === "front") { return [at[1], -at[2]]; }
  const a = (pitch * Math.PI) / 180;
  return [at[0] * Math.cos(a) + at[2] * Math.sin(a), -(at[2] * Math.cos(a) - at[0] * Math.sin(a))];
}

function hull(points) {
  const ordered = [...points].sort((p, q) => p[0] - q[0] || p[1] - q[1]);
  const half = (chain) => {
    const kept = [];
    for (const p of chain) {
      while (kept.length > 1) {
        const [a, b] = kept.slice(-2);
        if ((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) > 0) { break; }
        kept.pop();
      }
      kept.push(p);
    }
    return kept.slice(0, -1);
  };
  return ordered.length < 3 ? ordered : [...half(ordered), ...half(ordered.reverse())];
}

/* What of an outline lies at or below a level line (y grows downwards). */
function below(outline, level) {
  const kept = [];
  outline.forEach((b, i) => {
    const a = outline[(i + outline.length - 1) % outline.length];
    if ((a[1] < level) !== (b[1] < level)) {
      const share = (level - a[1]) / (b[1] - a[1]);
      kept.push([a[0] + share * (b[0] - a[0]), level]);
    }
    if (b[1] >= level) { kept.push(b); }
  });
  return kept;
}

const flat = (points) => points.map((p) => p[0].toFixed(1) + "," + p[1].toFixed(1)).join(" ");

export class Drawing {
  constructor(root, onPick) {
    this.view = "side";
    this.pitch = 0;
    this.onPick = onPick;
    this.case = { places: [], lines: [], tanks: [] };
    this.unit = "in";
    this.row = null;
    this.svg = draw("svg", { class: "fig system", role: "img", "aria-labelledby": "drawing-title drawing-words" });
    this.title = make("h2", { id: "drawing-title" }, "The system");
    this.words = make("p", { class: "note", id: "drawing-words" });
    const buttons = make("div", { class: "views", role: "group", "aria-label": "View" }, Object.entries(VIEWS).map(([view, words]) =>
      make("button", { type: "button", "data-view": view, "aria-pressed": String(view === this.view), onclick: () => this.choose(view) }, words)));
    this.buttons = buttons;
    root.append(make("div", { class: "bar" }, this.title, buttons), make("figure", { class: "wide" }, this.svg), this.words);
  }

  choose(view) {
    this.view = view;
    for (const button of this.buttons.children) { button.setAttribute("aria-pressed", String(button.dataset.view === view)); }
    this.render();
  }

  setCase(found, unit) { this.case = found; this.unit = unit; this.render(); }

  /* surfaces: height of the fuel along gravity [mm] by tank, null where not known. */
  setAttitude(pitch, surfaces, uncovered, air) { this.pitch = pitch; this.surfaces = surfaces; this.uncovered = uncovered || []; this.air = air; this.render(); }

  mark(path) { this.row = path; this.render(); }

  get everyPoint() {
    const found = this.case.places.map((p) => p.at);
    for (const line of this.case.lines) { found.push(...line.course); }
    for (const tank of this.case.tanks) { found.push(...tank.corners); }
    return found;
  }

  /* Room for every pitch that can be dragged to, so that the scale stays; the middle moves along. */
  frame() {
    const boxOf = (pitch) => {
      const all = this.everyPoint.map((p) => turned(this.view, p, pitch));
      const xs = all.map((p) => p[0]), ys = all.map((p) => p[1]);
      return { left: Math.min(...xs), right: Math.max(...xs), top: Math.min(...ys), foot: Math.max(...ys) };
    };
    const tilts = this.view === "side" ? REACH.map(boxOf) : [boxOf(0)];
    const now = boxOf(this.view === "side" ? this.pitch : 0);
    const wide = Math.max(...tilts.map((b) => b.right - b.left), 200), high = Math.max(...tilts.map((b) => b.foot - b.top), 200);
    const room = 0.09 * Math.max(wide, high);
    const across = wide + 2.6 * room, down = high + 2 * room;
    return { left: (now.left + now.right) / 2 - across / 2, top: (now.top + now.foot) / 2 - down / 2, wide: across, high: down };
  }

  render() {
    const points = this.everyPoint;
    if (!points.length) { fill(this.svg, draw("text", { x: 10, y: 24, class: "ts", "font-size": 12 }, "Nothing is known of the places yet.")); this.svg.setAttribute("viewBox", "0 0 420 60"); return; }
    const box = this.frame();
    const unit = Math.max(box.wide, box.high * 1.1) / 420;
    this.scale = unit;
    this.svg.setAttribute("viewBox", [box.left, box.top, box.wide, box.high].map((v) => v.toFixed(1)).join(" "));
    const put = (at) => turned(this.view, at, this.view === "side" ? this.pitch : 0);
    const made = [...this.grid(box, unit), ...this.tanks(put), ...this.lines(put, unit), ...this.places(put, unit, box), ...this.legend(box, unit)];
    fill(this.svg, made);
    this.tellWords();
  }

  grid(box, unit) {
    const metric = ["mm", "cm", "m"].includes(this.unit);
    const step = metric ? 250 : 254;
    const made = [];
    const points = this.everyPoint;
    const lo = [0, 1, 2].map((i) => Math.floor(Math.min(...points.map((p) => p[i])) / step - 0.5) * step);
    const hi = [0, 1, 2].map((i) => Math.ceil(Math.max(...points.map((p) => p[i])) / step + 0.5) * step);
    const [u, v] = { side: [0, 2], top: [0, 1], front: [1, 2] }[this.view];
    const put = (a, b) => { const at = [0, 0, 0]; at[u] = a; at[v] = b; return turned(this.view, at, this.view === "side" ? this.pitch : 0); };
    for (let a = lo[u]; a <= hi[u]; a += step) { const [p, q] = [put(a, lo[v]), put(a, hi[v])]; made.push(draw("line", { class: "gd", "vector-effect": "non-scaling-stroke", x1: p[0], y1: p[1], x2: q[0], y2: q[1] })); }
    for (let b = lo[v]; b <= hi[v]; b += step) { const [p, q] = [put(lo[u], b), put(hi[u], b)]; made.push(draw("line", { class: "gd", "vector-effect": "non-scaling-stroke", x1: p[0], y1: p[1], x2: q[0], y2: q[1] })); }
    this.gridWords = metric ? "grid 250 mm" : "grid 10 in";
    return made;
  }

  tanks(put) {
    const made = [];
    this.case.tanks.forEach((tank, i) => {
      const outline = hull(tank.corners.map(put));
      const level = this.surfaces ? this.surfaces[i] : null;
      if (this.view === "side" && level !== null && level !== undefined && outline.length > 2) {
        const wet = below(outline, -level);
        if (wet.length > 2) { made.push(draw("polygon", { class: "fu", points: flat(wet) })); }
        const ends = wet.filter((p) => Math.abs(p[1] + level) < 0.05).map((p) => p[0]);
        if (ends.length > 1) { made.push(draw("line", { class: "su", "vector-effect": "non-scaling-stroke", x1: Math.min(...ends), x2: Math.max(...ends), y1: -level, y2: -level })); }
      }
      if (outline.length > 2) { made.push(draw("polygon", { class: "tk", "vector-effect": "non-scaling-stroke", points: flat(outline) })); }
    });
    return made;
  }

  lines(put, unit) {
    const made = [];
    for (const line of this.case.lines) {
      made.push(draw("polyline", { class: line.known ? "ln" : "lu", "vector-effect": "non-scaling-stroke", points: flat(line.course.map(put)) }, draw("title", {}, "line " + line.name + (line.known ? "" : " (course not known)"))));
      for (const corner of line.corners) {
        const [x, y] = put(corner.at);
        made.push(this.dot(x, y, 2.2 * unit, "corner", corner.path, "corner of " + line.name));
      }
    }
    return made;
  }

  dot(x, y, r, look, path, words) {
    const here = this.row && startsWith(this.row, path);
    const made = [draw("circle", { class: look === "bare" ? "bare" : "sg", "vector-effect": "non-scaling-stroke", cx: x.toFixed(1), cy: y.toFixed(1), r: r.toFixed(1) })];
    if (here) { made.unshift(draw("circle", { class: "here", "vector-effect": "non-scaling-stroke", cx: x.toFixed(1), cy: y.toFixed(1), r: (r + 5 * this.scale).toFixed(1) })); }
    const group = draw("g", { class: "spot" + (here ? " is-here" : ""), "data-path": keyOf(path) }, made, draw("title", {}, words));
    group.append(draw("circle", { class: "touch", cx: x.toFixed(1), cy: y.toFixed(1), r: (9 * this.scale).toFixed(1) }));
    group.addEventListener("click", () => this.onPick(path));
    return group;
  }

  places(put, unit, box) {
    const groups = [];
    const made = [];
    for (const place of this.case.places) {
      const [x, y] = put(place.at);
      const bare = this.view === "side" && this.uncovered.includes(place.name);
      made.push(this.dot(x, y, (bare ? 4.6 : 3.4) * unit, bare ? "bare" : place.kind, place.path, place.name + (bare ? ", uncovered" : "")));
      if (bare) { made.push(draw("path", { class: "cross", "vector-effect": "non-scaling-stroke", d: `M${x - 3 * unit} ${y - 3 * unit}L${x + 3 * unit} ${y + 3 * unit}M${x - 3 * unit} ${y + 3 * unit}L${x + 3 * unit} ${y - 3 * unit}` })); }
      const near = groups.find((g) => Math.hypot(g.x - x, g.y - y) < 7 * unit);
      if (near) { near.names.push(place.name); } else { groups.push({ x, y, names: [place.name] }); }
    }
    return [...made, ...this.labels(groups, unit, box)];
  }

  /* One label where places coincide, where it hides least; upright whatever the pitch. */
  labels(groups, unit, box) {
    const size = 11 * unit;
    const taken = groups.map((g) => [g.x - 5 * unit, g.y - 5 * unit, g.x + 5 * unit, g.y + 5 * unit]);
    for (const line of this.case.lines) {
      const course = line.course.map((p) => turned(this.view, p, this.view === "side" ? this.pitch : 0));
      course.slice(1).forEach((q, i) => { for (let s = 0.1; s < 1; s += 0.2) { const x = course[i][0] + s * (q[0] - course[i][0]), y = course[i][1] + s * (q[1] - course[i][1]); taken.push([x - 2 * unit, y - 2 * unit, x + 2 * unit, y + 2 * unit]); } });
    }
    for (const tank of this.case.tanks) {
      const edge = hull(tank.corners.map((p) => turned(this.view, p, this.view === "side" ? this.pitch : 0)));
      edge.forEach((q, i) => { const p = edge[(i + edge.length - 1) % edge.length]; for (let s = 0; s < 1; s += 0.1) { const x = p[0] + s * (q[0] - p[0]), y = p[1] + s * (q[1] - p[1]); taken.push([x - 2 * unit, y - 2 * unit, x + 2 * unit, y + 2 * unit]); } });
    }
    return groups.map((g) => {
      const names = shortest(g.names);
      const words = names.length > 30 ? names.slice(0, 29) + "…" : names;
      const wide = 0.56 * size * words.length;
      let best = null, least = Infinity;
      for (const away of [8, 17, 28]) {
        for (const angle of [-40, -140, 40, 140, 0, 180, -90, 90]) {
          const dx = away * unit * Math.cos((angle * Math.PI) / 180), dy = away * unit * Math.sin((angle * Math.PI) / 180);
          const left = g.x + dx - (dx < -unit ? wide : Math.abs(dx) <= unit ? wide / 2 : 0), foot = g.y + dy + 0.35 * size;
          const b = [left, foot - size, left + wide, foot + 0.3 * size];
          let cost = taken.reduce((sum, t) => sum + Math.max(0, Math.min(b[2], t[2]) - Math.max(b[0], t[0])) * Math.max(0, Math.min(b[3], t[3]) - Math.max(b[1], t[1])), 0) / (unit * unit);
          cost += 40 * (Math.max(0, box.left - b[0]) + Math.max(0, b[2] - box.left - box.wide) + Math.max(0, box.top - b[1]) + Math.max(0, b[3] - box.top - box.high)) / unit + away * 0.3;
          if (cost < least) { least = cost; best = { left, foot, b }; }
        }
      }
      taken.push(best.b);
      return draw("text", { class: "tx", x: best.left.toFixed(1), y: best.foot.toFixed(1), "font-size": size.toFixed(1) }, words, draw("title", {}, g.names.join(", ")));
    });
  }

  legend(box, unit) {
    const at = (x, y, words, anchor) => draw("text", { class: "ts", x: x.toFixed(1), y: y.toFixed(1), "font-size": (10 * unit).toFixed(1), "text-anchor": anchor }, words);
    const foot = box.top + box.high - 3 * unit;
    const right = this.view === "front" ? "right side >" : "tail >";
    return [at(box.left + 3 * unit, foot, this.view === "front" ? "< left side" : "< nose", "start"), at(box.left + box.wide - 3 * unit, foot, right, "end"), at(box.left + box.wide / 2, foot, this.gridWords, "middle")];
  }

  tellWords() {
    const pitch = Math.abs(this.pitch) < 0.005 ? "level" : Math.abs(this.pitch).toFixed(1) + " deg nose-" + (this.pitch > 0 ? "up" : "down");
    const bare = this.uncovered && this.uncovered.length && this.view === "side" ? "Crossed rings: uncovered (" + this.uncovered.join(", ") + ")" + (this.air ? "; " + this.air : "") + ". " : "";
    const dashed = this.case.lines.some((line) => !line.known) ? "Dashed: course not known. " : "";
    const words = (this.view === "side" ? "From the left, " + pitch + ", up is against gravity. " : this.view === "top" ? "From above, right side at the foot. " : "From behind. ") + bare + dashed;
    if (this.words.textContent !== words) { this.words.textContent = words; }
  }
}

/* Names that share their ends are told once: left.front, right.front. */
function shortest(names) { return [...new Set(names)].join(", "); }

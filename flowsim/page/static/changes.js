/* The tabs Changes (every edition, back to any) and Text (the file itself). */

import { fill, make, say, sync } from "./dom.js";

export function changes(root, page) {
  const list = make("ol", { class: "editions", reversed: true });
  root.append(make("p", { class: "note" }, "Every text that the case has had since it was opened. Going back loses none of them."), list);
  return (state) => {
    const { editions, now, saved } = state.history;
    const shown = [...editions].reverse();
    sync(list, shown, (e) => String(e.number), (e) => make("li", { value: e.number + 1 }, make("button", { type: "button", onclick: () => page.travel("back", e.number) }), make("span", { class: "hint-open" })), (item, e) => {
      const button = item.firstElementChild;
      say(button, e.words || "no change of a value");
      button.setAttribute("aria-current", String(e.number === now));
      const least = page.leastOf ? page.leastOf(e.number) : "";
      say(item.lastElementChild, [e.number === now ? "here now" : "", e.number === saved ? "in the file" : "", e.parent !== null && e.parent !== e.number - 1 ? "made from edition " + (e.parent + 1) : "", least].filter(Boolean).join("; "));
    });
  };
}

export function textTab(root, page) {
  const area = make("textarea", { id: "case-text", "aria-label": "Text of the case file", spellcheck: "false", autocomplete: "off", wrap: "off", "aria-describedby": "text-wrong" });
  const numbers = make("pre", { class: "numbers", "aria-hidden": "true" });
  const wrong = make("ul", { class: "wrong-list", id: "text-wrong" });
  const use = make("button", { type: "button", onclick: () => write() }, "Use this text");
  const back = make("button", { type: "button", onclick: () => { area.value = known; look(); } }, "As it was");
  let known = "";
  const write = async () => { const text = area.value; const said = await page.commit([{ do: "text", text }], (answer) => { if (answer.ok && area.value === text) { known = text; } }); return said; };
  const look = () => { use.disabled = back.disabled = area.value === known; number(); };
  const number = () => {
    const lines = area.value.split("\n").length;
    const bad = new Set(page.state ? page.state.case.mistakes.map((m) => m.line) : []);
    const isKnown = area.value === known;
    fill(numbers, Array.from({ length: lines }, (_, i) => make("span", { class: isKnown && bad.has(i + 1) ? "bad" : null }, (isKnown && bad.has(i + 1) ? "! " : "") + (i + 1) + "\n")));
  };
  area.addEventListener("input", look);
  area.addEventListener("scroll", () => { numbers.scrollTop = area.scrollTop; });
  root.append(make("p", { class: "note" }, "The case file itself: the only truth. Lines with something to put right are marked."), wrong, make("div", { class: "text-box" }, numbers, area), make("p", { class: "tools" }, use, back));
  return (state) => {
    const text = state.case.text.replace(/\r\n/g, "\n").replace(/^\ufeff/, "");
    if (area.value === known && known !== text) { area.value = text; known = text; }
    else if (area.value === text) { known = text; }
    sync(wrong, state.case.mistakes.map((m, i) => ({ ...m, i })), (m) => m.i + m.sentence, (m) => make("li", {}, make("a", { href: "#", onclick: (e) => { e.preventDefault(); goLine(area, m.line); } }, m.sentence)));
    look();
    if (page.markLine) { goLine(area, page.markLine); page.markLine = null; }
  };
}

function goLine(area, line) {
  const lines = area.value.split("\n");
  const start = lines.slice(0, Math.max(0, (line || 1) - 1)).reduce((sum, text) => sum + text.length + 1, 0);
  area.focus();
  area.setSelectionRange(start, start + (lines[(line || 1) - 1] || "").length);
  area.scrollTop = Math.max(0, (line - 5) * 20);
}

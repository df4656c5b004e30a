"""Narrow, dark, light, printed; contrast; names and errors for those who do not see."""

import pytest

from flowsim.files.case.starter import starter_text

# Contrast of every piece of text that can be seen, against the nearest background (WCAG 2 formula).
CONTRAST = """
const lum = (c) => { const [r, g, b] = c.map(v => { v /= 255;
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
const parse = (text) => (text.match(/[0-9.]+/g) || []).map(Number);
const behind = (e) => { for (; e; e = e.parentElement) {
  const c = parse(getComputedStyle(e).backgroundColor);
  if (c.length === 3 || c[3] > 0.99) return c; } return [255, 255, 255]; };
const bad = [];
const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
let seen = 0;
while (walk.nextNode()) {
  const e = walk.currentNode.parentElement;
  if (!walk.currentNode.textContent.trim() || !e.checkVisibility()) continue;
  if (e.closest('title,option')) continue;
  if (e.closest('[aria-disabled=true],:disabled')) continue;
  const style = getComputedStyle(e);
  const text = parse(e.namespaceURI.includes('svg') ? style.fill : style.color);
  const [a, b] = [lum(text), lum(behind(e))].sort((x, y) => y - x);
  const ratio = (a + 0.05) / (b + 0.05);
  seen += 1;
  if (ratio < 4.5) bad.push([ratio.toFixed(2), e.tagName, e.className.baseVal ?? e.className,
    walk.currentNode.textContent.trim().slice(0, 30)].join(' '));
}
return [seen, [...new Set(bad)]];
"""
TABS = ("measure", "lines", "tanks", "engine", "try", "changes", "text")


def narrow(page, width: int, *, mobile: bool = True) -> None:
    page.driver.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": mobile},
    )


@pytest.mark.parametrize("width", [360, 600, 960, 1400])
def test_nothing_runs_out_of_the_page(opened, width) -> None:
    page = opened("four-outlets")
    page.settled()
    narrow(page, width, mobile=width < 900)
    for name in TABS:
        page.tab(name)
        wide = page.js("return document.documentElement.scrollWidth")
        assert wide <= width, name
        out = page.js(
            "return [...document.querySelectorAll('body *')].filter(e => e.checkVisibility() && "
            "!e.closest('.scroll,svg,pre,textarea,.skip,.hidden') && "
            "e.getBoundingClientRect().right > arguments[0] + 1).map(e => e.tagName + '.' + "
            "e.className + ' ' + e.textContent.slice(0, 30)).slice(0, 5)", width,
        )  # fmt: skip
        assert out == [], name
    page.js("document.getElementById('show').click()")
    page.until("document.querySelector('#sheet-to-show .inputs')")
    assert page.js("return document.documentElement.scrollWidth") <= width


def test_on_a_telephone_the_word_stays_on_top_and_targets_are_large(opened) -> None:
    page = opened("one-tank")
    page.settled()
    narrow(page, 360)
    for name in ("measure", "engine"):
        page.tab(name)
        small = page.js(
            "return [...document.querySelectorAll('button,select,input:not([type=checkbox]):not("
            "[type=range]),summary')].filter(e => e.checkVisibility() && "
            "e.getBoundingClientRect().height < 43.5).map(e => e.tagName + ' ' + "
            "e.textContent.slice(0, 20) + ' ' + e.getBoundingClientRect().height)"
        )
        assert small == []
    page.js("window.scrollTo(0, 2500)")
    top = page.js("return document.getElementById('word').getBoundingClientRect().top")
    assert 0 <= top < 5
    assert page.js("return document.getElementById('verdict-word').checkVisibility()")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_contrast(opened, scheme) -> None:
    text = starter_text("x").replace('burn = "5.6 US_gal/h"', 'burn = "a lot"')
    page = opened("four-outlets")
    page.driver.execute_cdp_cmd(
        "Emulation.setEmulatedMedia",
        {"features": [{"name": "prefers-color-scheme", "value": scheme}]},
    )
    page.settled()
    page.js("document.querySelectorAll('details').forEach(d => { d.open = true; })")
    for name in TABS:
        page.tab(name)
        seen, bad = page.js(CONTRAST)
        assert bad == [], name
        assert seen > 60
    with page.desk.lock:
        from flowsim.page.changes import ChangeStep

        page.desk.change([ChangeStep(do="text", text=text)])
    page.driver.refresh()
    page.until("document.querySelector('#mistakes a')")
    page.tab("engine")
    _, bad = page.js(CONTRAST)
    assert bad == []
    dark = page.js("return getComputedStyle(document.documentElement).backgroundColor")
    assert dark == {"light": "rgb(255, 255, 255)", "dark": "rgb(25, 25, 23)"}[scheme]


def test_names_and_errors_are_in_the_accessibility_tree(opened) -> None:
    text = starter_text("x").replace('burn = "5.6 US_gal/h"', 'burn = "a lot"')
    page = opened("starter", text=text)
    page.until("document.querySelector('#mistakes a')")
    nameless, wrong = [], []
    for name in TABS:
        page.tab(name)
        tree = page.driver.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
        for node in tree:
            role = node.get("role", {}).get("value")
            if node.get("ignored") or role not in (
                "button", "textbox", "combobox", "slider", "tab", "checkbox", "link", "spinbutton",
            ):  # fmt: skip
                continue
            if not node.get("name", {}).get("value", "").strip():
                nameless.append((name, role, node.get("backendDOMNodeId")))
            invalid = [p for p in node.get("properties", []) if p["name"] == "invalid"]
            if invalid and invalid[0]["value"].get("value") == "true":
                wrong.append((node["name"]["value"], node.get("description", {}).get("value", "")))
    assert nameless == []
    assert len(wrong) == 1
    called, told = wrong[0]
    assert called == "burn"
    assert 'engine, burn: "a lot" is not a number and a unit' in told


def test_the_cautions_are_always_in_sight_and_nothing_is_to_be_dismissed(opened) -> None:
    page = opened("starter")
    page.settled()
    for name in TABS:
        page.tab(name)
        assert page.js("return document.getElementById('standing').checkVisibility()")
        assert page.js("return document.getElementById('rests-on').checkVisibility()")
    assert page.js("return document.querySelectorAll('dialog,[role=dialog],[role=alertdialog]')"
                   ".length") == 0  # fmt: skip
    said = page.text("#rests-on")
    page.js("document.getElementById('rests').open = true")
    links = page.js("return document.querySelectorAll('#rests-list a').length")
    origins = [entry.origin for entry in page.desk.draft.provenance]
    assert f"Rests on {origins.count('assumed')} assumed" in said
    assert f"and {origins.count('default')} filled-in values" in said
    assert links >= 1
    page.js("document.querySelector('#rests-list a').click()")
    assert page.js("return document.activeElement.matches('input,select')")
    # A change that raises a caution says that it is new.
    page.tab("tanks")
    page.write(["tank", 0, "capacity"], "60 L")
    page.at_edition(2)
    page.settled()
    assert "1 new" in page.text("#rests-on")


def test_marks_say_where_values_are_from(opened) -> None:
    page = opened("starter")
    page.settled()
    page.tab("engine")
    mark = page.js(
        "return [...document.querySelectorAll('#panel-engine .field')].find(f => f.dataset.key === "
        "arguments[0]).querySelector('.mark')",
        '["engine","carburettor","parts",1,"bore"]',
    )  # fmt: skip
    assert page.js("return arguments[0].textContent", mark) == "◇"
    assert page.js("return arguments[0].title", mark) == "assumed"

"""Text of a case that tries to steer a terminal, a page or a table stays text, in every command.

Control characters and escape sequences (ECMA-48), marks of writing direction, markup of the
terminal library, HTML, formulas of spreadsheets and braces of templates in the title, in names of
tanks, lines, parts and drains, and in where values are from.
"""

import json
import re
import unicodedata
import xml.etree.ElementTree as ElementTree
from html.parser import HTMLParser
from pathlib import Path

import pytest

CASES = Path(__file__).parents[2] / "cases"
EVIL = "\\u001b[31m[red]x[/red] <script>alert(1)</script> {{7*7}} \\u202e\\u0007\\u009b2J"
"""As it stands in TOML."""
FREE_TEXT = (
    "One tank behind the spar, one line",
    "Invented. The builder has no carburettor data yet, so only the open line can be judged.",
    "shut-off",
    "bowl screen",
    "floor drain",
)


@pytest.fixture
def hostile(tmp_path: Path) -> Path:
    text = (CASES / "one-tank" / "case.toml").read_text(encoding="utf-8")
    for name in FREE_TEXT:
        assert f'"{name}"' in text
        text = text.replace(f'"{name}"', f'"{name} {EVIL}"')
    # Names that others refer to: printable, with markup.
    for name in ("centre", "floor", "down", "forward"):
        text = re.sub(rf'"{name}(\.rear)?"', rf'"{name} [b]<i>&{{{{1}}}}\1"', text)
    text = text.replace('kind = "forward [b]<i>&{{1}}"', 'kind = "forward"')
    path = tmp_path / "hostile.toml"
    path.write_text(text, encoding="utf-8")
    return path


def assert_calm(text: str) -> None:
    """Nothing but printable characters and line ends."""
    bad = {
        c for c in text if c != "\n" and unicodedata.category(c) in ("Cc", "Cf", "Cs", "Co", "Cn")
    }
    assert not bad


class Page(HTMLParser):
    """Collects the tags of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)


COMMANDS = {
    "check": ("check", "{case}", "--draws", 100, "--all"),
    "hand-check": ("hand-check", "{case}", "--nominal"),
    "routing": ("routing", "{case}"),
    "what-if": ("what-if", "{case}", "dirty-screens", "--nominal"),
    "compare": ("compare", "{case}", "{other}", "--nominal"),
    "unusable": ("unusable", "{case}"),
}


@pytest.mark.parametrize("name", COMMANDS)
@pytest.mark.parametrize("form", ["words", "json"])
def test_commands_print_it_as_text(name: str, form: str, hostile: Path, run) -> None:
    other = CASES / "one-tank" / "case.toml"
    words = [str(word).format(case=hostile, other=other) for word in COMMANDS[name]]
    said = run(*words, *(["--json"] if form == "json" else []))
    assert said.code in (0, 1, 3), said.err
    assert_calm(said.out)
    assert_calm(said.err)
    assert said.out.isascii() or form == "words"
    if form == "json":
        assert "[b]<i>&{{1}}" in json.dumps(json.loads(said.out), ensure_ascii=False)
    elif name not in ("unusable", "what-if"):  # they name neither tank nor part
        assert "[b]<i>&{{1}}" in said.out.replace("\n", " ")
    assert "49" not in re.findall(r"\{\{.{0,5}", said.out)


def test_a_report_holds_it_as_text(hostile: Path, tmp_path: Path, run) -> None:
    folder = tmp_path / "report"
    said = run("report", hostile, "--out", folder, "--nominal", "--no-pdf", "--date", "2026-01-31")
    assert said.code in (0, 1, 3), said.err
    assert_calm(said.out)
    written = [path for path in folder.rglob("*") if path.is_file()]
    assert {path.suffix for path in written} >= {".html", ".json"}
    for path in written:
        text = path.read_text(encoding="utf-8")
        assert_calm(text)
        assert "<script>alert" not in text or path.suffix == ".json"
        if path.suffix == ".html":
            tags = Page(text).tags
            assert "red" not in tags
            assert "i" not in tags
            assert text.count("&lt;script&gt;alert(1)") > 0


def test_drawings_hold_it_as_text(hostile: Path, tmp_path: Path, run) -> None:
    said = run("routing", hostile, "--drawings", tmp_path / "drawings")
    assert said.code in (0, 1, 3), said.err
    drawings = list((tmp_path / "drawings").glob("*.svg"))
    assert drawings
    for path in drawings:
        text = path.read_text(encoding="utf-8")
        assert_calm(text)
        names = {element.tag.rpartition("}")[2] for element in ElementTree.fromstring(text).iter()}
        assert "script" not in names
        assert "i" not in names


def test_mistakes_are_said_as_text(tmp_path: Path, run) -> None:
    path = tmp_path / "bad\x1b[31m.toml"
    path.write_text(f'title = 3\n"{EVIL}" = 1\n[{EVIL}]\n', encoding="utf-8")
    said = run("check", path)
    assert said.code == 4
    assert_calm(said.err)
    path.write_text(f'title = "{EVIL}"\n"{EVIL}" = "{EVIL}"\n[fuel]\nkind = "{EVIL}"\n')
    said = run("check", path)
    assert said.code == 4
    assert_calm(said.err)


def test_profiles_and_readings_are_said_as_text(tmp_path: Path, run) -> None:
    source = CASES / "four-outlets"
    case, profile, table, picture, readings = (
        tmp_path / name
        for name in ("case.toml", "flight.toml", "flight.csv", "flight.svg", "readings.csv")
    )
    case.write_text((source / "case.toml").read_text(encoding="utf-8"), encoding="utf-8")
    flight = (source / "flight.toml").read_text(encoding="utf-8")
    flight = flight[: flight.index('name = "climb"')].rpartition("[[phase]]")[0]
    profile.write_text(flight.replace('"taxi"', f'"taxi {EVIL}"').replace("A flight", EVIL))
    said = run("flight", case, profile, "--csv", table, "--picture", picture)
    assert said.code in (0, 1, 3), said.err
    for text in (said.out, said.err, table.read_text(), picture.read_text()):
        assert_calm(text.replace("\r", ""))
    ElementTree.fromstring(picture.read_text())
    evil = EVIL.encode().decode("unicode_escape")
    rows = (source / "readings.csv").read_text(encoding="utf-8").replace("first run", evil)
    rows = rows.replace("\n2,17,0,left", f"\n{evil},17,0,{evil}")
    readings.write_text(rows.replace("\n3,17,0,left", "\n3,17,0,left,x,x,x,x,x,x,x,x,x,x"))
    said = run("ground-test", "fit", case, readings)
    assert said.code == 4
    assert said.err
    assert_calm(said.out)
    assert_calm(said.err)

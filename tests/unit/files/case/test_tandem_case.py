"""The bundled tandem case, with mirror, defaults and stock, against its written-out twin."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from flowsim.document.words.telling import all_told, told
from flowsim.errors import Mistake
from flowsim.files.case.differences import case_differences
from flowsim.files.case.reader import read_case_text
from flowsim.studies.routing.study import route_study
from tests.support.same_system import same_system

Read = Callable[[str], list[Mistake]]

_CASE = Path(__file__).parents[4] / "cases" / "tandem" / "case.toml"
_TWIN = Path(__file__).parent / "tandem_written_out.toml"
_INCH = 0.0254


@pytest.fixture(scope="module")
def tandem() -> str:
    return _CASE.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def twin() -> str:
    return _TWIN.read_text(encoding="utf-8")


def _counts(text: str) -> tuple[int, int]:
    """Lines that say something, and values in quotes."""
    bare = re.sub(r"""(?m)\s*#[^"\n]*$""", "", text)
    return len([line for line in bare.split("\n") if line.strip()]), bare.count('"') // 2


# --- the tandem case


def test_the_tandem_case_is_the_system_of_its_twin(tandem: str, twin: str) -> None:
    same_system(read_case_text(tandem, "case.toml"), read_case_text(twin, "case.toml"))


def test_writing_it_takes_a_third_of_the_lines(tandem: str, twin: str) -> None:
    """The count before and after that the case's README gives."""
    assert len(tandem.splitlines()) < 120
    assert _counts(tandem) == (108, 195)
    assert _counts(twin) == (301, 399)
    readme = (_CASE.parent / "README.md").read_text(encoding="utf-8")
    for number in (*_counts(tandem), *_counts(twin)):
        assert str(number) in readme


def test_compare_finds_no_difference_between_the_two() -> None:
    assert case_differences(_CASE, _TWIN) == ()


def test_a_drain_tee_costs_one_run_and_its_line_carries_nothing(tandem: str) -> None:
    system = read_case_text(tandem, "case.toml")
    lines = {line.name: line for line in system.lines}
    assert "left drain line" not in lines
    assert {line.name for line in system.drain_lines} == {"left drain line", "right drain line"}
    losses = [
        (line.name, part.name)
        for line in system.lines
        for part in line.parts
        if getattr(part, "kind", "").startswith("tee")
    ]
    assert losses == [
        ("left down", "left low tee, tee run"),
        ("right down", "right low tee, tee run"),
    ]
    assert {tee.name for tee in system.tees} == {"left tee", "right tee"}
    drain = next(drain for drain in system.drains if drain.name == "right drain")
    assert drain.at == pytest.approx((50.5 * _INCH, 15 * _INCH, 3 * _INCH))
    assert drain.reaches == "right drain line"


def test_what_was_recorded_is_in_cut_list_and_ticks(tandem: str) -> None:
    system = read_case_text(tandem, "case.toml")
    result = route_study(system)
    cuts = {cut.line: cut for cut in result.cuts}
    down = cuts["left down"]
    line = next(line for line in system.lines if line.name == "left down")
    assert down.trim == pytest.approx(2 * 2 * _INCH)
    assert down.cut == pytest.approx(line.length + 4 * _INCH)
    assert (down.wraps, down.sleeves) == (1, 2)
    run = next(run for run in result.runs if run.line == "left down" and run.number == 2)
    assert down.wrap_length == pytest.approx(run.length)
    assert cuts["left front"].trim == pytest.approx(2 * _INCH)
    assert cuts["left front"].pieces == 1
    assert cuts["right drain line"].cut > 0.0
    ticks = "\n".join(all_told(result.ticks))
    assert 'line "right down": anti-chafe wrap of ' in ticks
    assert "on run 2 (door post)" in ticks
    assert 'line "left down": 51 mm (2.0 in) of trim cut off' in ticks
    assert 'drain "left drain" drains left drain line' in ticks


def test_stated_span_and_bend_radius_are_used(tandem: str) -> None:
    result = route_study(read_case_text(tandem, "case.toml"))
    spans = [span for span in result.spans if span.line == "left down"]
    assert {span.largest for span in spans} == {16 * _INCH}
    assert {told(span.source) for span in spans} == {"as stated in the case"}
    bend = next(bend for bend in result.bends if bend.line == "left forward")
    assert (bend.least, told(bend.source)) == (2 * _INCH, "as stated in the case")
    tight = tandem.replace('least_bend_radius = "2 in"', 'least_bend_radius = "3 in"')
    findings = route_study(read_case_text(tight, "case.toml")).findings
    assert any(f.topic == "bend radius" and "left down" in told(f.item) for f in findings)


# --- mistakes

_TANDEM_MISTAKES = {
    # what stands there, what is written instead, a text on the line that is named, item, problem
    "in both: the original's line": (
        'unusable = "5 L"', 'unusable = "5 gal"', '"5 gal"', 'tank "left", unusable', "may mean US",
    ),
    "in both: a point": (
        '["34 in", "-20 in", "43 in"]]', '["34 in", "-20 kg", "43 in"]]', '"-20 kg"',
        'line "left front", via, point 2, buttline', "is a mass",
    ),
    "in both: a reference": (
        'branch = "left rear"', 'branch = "left reer"', '"left reer"', 'tee "left tee", branch',
        'no line called "left reer"',
    ),
    "in both: a key": (
        'fill_factor = 0.97', "fill_facter = 0.97", "fill_facter", 'tank "left", fill_facter',
        "unknown key",
    ),
    "in a default": (
        'fitting_bore = "0.27 in"', 'fitting_bore = "0.27 kg"', "0.27 kg",
        "defaults, fitting_bore", "is a mass",
    ),
    "a default's key": (
        'bend_radius = "2.5 in", fitting', 'bend_radus = "2.5 in", fitting', "bend_radus",
        "defaults, bend_radus", "unknown key",
    ),
    "in the stock": (
        'material = "nylon tube"', 'material = "nilon tube"', "nilon tube",
        'stock "nylon 3/8", material', "no roughness is known",
    ),
    "stock of another name": (
        'stock = "nylon 3/8", bend', 'stock = "nylon 3/7", bend', "nylon 3/7",
        "defaults, stock", 'no stock called "nylon 3/7"',
    ),
    "a side that is none": (
        'mirror = "left", stock', 'mirror = "up", stock', '"up"', "defaults, mirror",
        "is not known here",
    ),
    "the mirrored outlet's name": (
        'mirror = "left.front"', 'mirror = "left.frunt"', "left.frunt",
        'tank "left", outlet "rear", mirror', 'no outlet called "left.frunt"',
    ),
    "the key mirror": (
        'mirror = "left.front"', 'miror = "left.front"', "miror",
        'tank "left", outlet "rear", miror', "unknown key",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", _TANDEM_MISTAKES)
def test_a_mistake_that_is_copied_is_reported_once_where_it_was_written(
    name: str, tandem: str, mistakes: Read
) -> None:
    old, new, marker, item, problem = _TANDEM_MISTAKES[name]
    assert old in tandem
    text = tandem.replace(old, new, 1)
    if name == "a side that is none":
        assert any(m.item == item and problem in m.problem for m in mistakes(text))
        return
    (found,) = mistakes(text)
    assert found.item == item
    assert problem in found.problem
    assert found.line == text.count("\n", 0, text.index(marker)) + 1


def _values_and_keys(text: str):
    """Make every value unreadable, and misspell every key, one at a time: line and text."""
    for match in re.finditer(r'"-?[0-9][-0-9./]*( x [0-9.]+ in)? [^"]*"|(?<== )[0-9.]+', text):
        yield (
            text.count("\n", 0, match.start()) + 1,
            (f'{text[: match.start()]}"abc"{text[match.end() :]}'),
        )
    for match in re.finditer(r"^[a-z_]+(?= = )", text, re.MULTILINE):
        line = text.count("\n", 0, match.start()) + 1
        yield line, f"{text[: match.end()]}x{text[match.end() :]}"


def test_one_slip_anywhere_in_the_tandem_case_is_one_mistake_on_its_line(
    tandem: str, mistakes: Read
) -> None:
    tried = 0
    for line, slipped in _values_and_keys(tandem):
        found = mistakes(slipped)
        assert [m.line for m in found] == [line], (
            slipped.split("\n")[line - 1] + "\n" + "\n".join(str(m) for m in found)
        )
        tried += 1
    assert tried > 120

"""``[defaults]`` and ``[[stock]]``: said once, they are as if written everywhere."""

import re
from collections.abc import Callable

import pytest

from flowsim.errors import Mistake
from flowsim.files.case.reader import read_case_text
from tests.support.same_system import same_system

Read = Callable[[str], list[Mistake]]

_INCH = 0.0254

# --- defaults


def _with(two_tanks: str, defaults: str) -> str:
    return two_tanks.replace("[fuel]", f"[defaults]\n{defaults}\n\n[fuel]", 1)


def test_defaults_are_written_out_where_nothing_is_said(two_tanks: str) -> None:
    tube, radius = 'tube = "3/8 in x 0.035 in"\n', 'bend_radius = "0.5 in"\n'
    less = two_tanks.replace(tube, "").replace(radius, "")
    less = less.replace(', bore = "0.297 in", count = 2', ", count = 2")
    more = _with(less, f'{tube}{radius}material = "aluminium tube"\nfitting_bore = "0.297 in"')
    written = two_tanks.replace(
        'run = ["left front", "left rear"]', 'run = ["left front", "left rear"]\nbore = "0.297 in"'
    )
    for key in (tube, 'wall = "0.035 in"\n', 'bore = "0.305 in"\nlength'):
        material = f'{key.removesuffix("length")}material = "aluminium tube"\n'
        written = written.replace(key, material + ("length" if key.endswith("length") else ""))
    same_system(read_case_text(more, "x"), read_case_text(written, "x"))


def test_hose_takes_no_tube_and_no_material_from_the_defaults(two_tanks: str) -> None:
    text = _with(two_tanks, 'tube = "1/4 in x 0.035 in"\nmaterial = "steel tube"')
    lines = {line.name: line for line in read_case_text(text, "x").lines}
    assert lines["right down"].material == "rubber hose"
    assert lines["right down"].bore == pytest.approx(11 / 32 * _INCH)
    assert lines["left front"].material == "steel tube"
    assert lines["left front"].outside_diameter == pytest.approx(0.375 * _INCH)


_UNITS = "in|ft|deg|degC|degF|kPa|psi|hp|kt|US_gal|US_qt|US_gal/h|ft/min|lb/US_gal"
_QUANTITY = rf'"-?[0-9][-0-9./ ]* (?:{_UNITS})"'


def _said(text: str) -> str:
    """Every value as a table that says where it is from; places and lengths also how sure."""
    measured = '{{ value = {}, from = "measured" }}'
    sure = '{{ value = {}, from = "measured", accuracy = "8 mm" }}'

    def line(one: str) -> str:
        key = one.split("=")[0].strip()
        if key in ("tube", "material", "name", "title", "judged", "ports", "positions", "run"):
            return one
        places = ("at", "via", "corners", "root", "tip", "inlet_at", "length", "rise", "aft")
        form = sure if key in places else measured
        one = re.sub(_QUANTITY, lambda m: form.format(m[0]), one)
        return re.sub(r"(?<== )[0-9]+\.[0-9]+", lambda m: measured.format(m[0]), one)

    return "\n".join(line(one) for one in text.split("\n"))


def test_from_and_accuracy_hold_for_what_does_not_say_it(two_tanks: str) -> None:
    """The very system of the case in which each value is a table with both."""
    system = read_case_text(_with(two_tanks, 'from = "measured"\naccuracy = "8 mm"'), "x")
    assert system.not_said == ()
    assert system.height_deviation == pytest.approx(0.008)
    same_system(system, read_case_text(_said(two_tanks), "x"))


def test_what_is_assumed_by_default_is_listed(two_tanks: str) -> None:
    said = 'capacity = { value = "15 US_gal", from = "measured" }'
    text = _with(two_tanks, 'from = "assumed"').replace('capacity = "15 US_gal"', said)
    assumed = {
        item.item for item in read_case_text(text, "x").provenance if item.origin == "assumed"
    }
    assert 'tank "left", unusable' in assumed
    assert 'line "right down", hose_bore' in assumed
    assert 'tank "left", capacity' not in assumed


def test_accuracy_of_places_is_not_that_of_bores(two_tanks: str) -> None:
    plain = read_case_text(two_tanks, "x")
    text = _with(two_tanks, 'accuracy = "8 mm"')
    for first, second in zip(plain.lines, read_case_text(text, "x").lines, strict=True):
        assert first.parts == second.parts


def test_stock_is_a_tubes_size_material_and_limits(two_tanks: str) -> None:
    stock = (
        '[[stock]]\nname = "soft"\ntube = "3/8 in x 0.050 in"\nmaterial = "nylon tube"\n'
        'least_bend_radius = "2 in"\nlargest_span = "18 in"\ninsert_bore = "0.2 in"\n'
    )
    text = two_tanks.replace(
        'to = "left tee"\ntube = "3/8 in x 0.035 in"', 'to = "left tee"\nstock = "Soft"'
    )
    system = read_case_text(text + stock, "x")
    line = system.lines[0]
    assert (line.bore, line.material) == (pytest.approx(0.275 * _INCH), "nylon tube")
    laid = system.routing.installation("left front")
    assert (laid.least_bend_radius, laid.largest_span) == pytest.approx((2 * _INCH, 18 * _INCH))
    insert = line.parts[-1]
    assert (insert.name, insert.bore, insert.count) == ("insert", pytest.approx(0.2 * _INCH), 2)

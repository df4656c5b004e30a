"""Any text whatever gives a checked fuel system or InputError with lines, and nothing else."""

import math
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from flowsim.errors import InputError, Mistake
from flowsim.files.case import models as case_models
from flowsim.files.case import models_lines as case_models_lines
from flowsim.files.case import models_tanks as case_models_tanks
from flowsim.files.case.part_rules import known_parts
from flowsim.files.case.reader import read_case_text
from flowsim.files.case.starter import starter_text
from flowsim.files.case.validate import toml_text
from flowsim.files.toml.source import decode
from flowsim.files.units import kinds
from flowsim.files.units.quantities import QuantityError, parse_quantity
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.parts import Pipe

_TWO_TANKS = (Path(__file__).parents[1] / "unit" / "files" / "two_tanks.toml").read_text(
    encoding="utf-8"
)
_TANDEM = (Path(__file__).parents[2] / "cases" / "tandem" / "case.toml").read_text(encoding="utf-8")
_BASES = (starter_text("Starter"), _TWO_TANKS, _TANDEM)
_SETTINGS = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
_VALUE = re.compile(r'"[^"\n]*"|(?<== )[0-9.]+')

_NUMBERS = st.sampled_from(
    ["0", "-1", "1", "3/8", "1e-9", "1e9", "1e999", "-0.0", "0.0001", "60", "1 1/2", "1/0", "nan",
     "9**9**9", "5e-324", "1e308", ""]
)  # fmt: skip
_UNITS = st.sampled_from(sorted({unit for kind in kinds.KINDS for unit in kind.units} | {"gal"}))
_QUANTITIES = st.builds(lambda n, u: f'"{n} {u}"', _NUMBERS, _UNITS)
_WORDS = st.sampled_from(
    ['"box"', '"level"', '"cells"', '"dips"', '"lofted"', '"own"', '"engine"', '"left tee"',
     '"left.front"', '"left"', '"pump"', '"hose barb"', '"one-way valve"', '"bend"', '"tube"',
     '"size change"', '"loss"', '"filter"', '"quadratic loss"', '"diesel"', '"water"', '"forward"',
     '""', '"."', "true", "[]", "{}", "1", "-1.5", "inf", "nan", "1979-05-27", '"\\u0000"',
     '"3/8 in x 0.035 in"', '"-6"', '[["1 in", "2 in", "3 in"]]', "[1, 2]"]
)  # fmt: skip
_ANY_VALUE = _QUANTITIES | _WORDS | st.text(max_size=20).map(lambda t: f'"{t}"')

_EXAMPLES = st.sampled_from(
    sorted(
        f"{field.alias or name} = {toml_text(field.examples[0])}"
        for module in (case_models, case_models_lines, case_models_tanks)
        for section in vars(module).values()
        if isinstance(section, type) and issubclass(section, case_models.CaseSection)
        for name, field in section.model_fields.items()
        if field.examples
    )
)


def _read(text: str) -> FuelSystem | list[Mistake]:
    try:
        return read_case_text(text, "case.toml")
    except InputError as error:
        return error.mistakes


def _check(text: str) -> None:
    """Read a text; hold what comes out against what is promised."""
    outcome = _read(text)
    if isinstance(outcome, FuelSystem):
        _check_system(outcome)
        return
    assert outcome
    lines = [mistake.line for mistake in outcome if mistake.line is not None]
    assert lines == sorted(lines)
    assert all(1 <= line <= text.count("\n") + 1 for line in lines)
    for mistake in outcome:
        assert str(mistake).isprintable()
        assert mistake.problem
        assert mistake.remedy


def _check_system(system: FuelSystem) -> None:
    places = system.places()
    assert all(math.isfinite(axis) for point in places.values() for axis in point)
    names = {line.name for line in system.lines}
    for line in system.lines:
        assert line.start in places
        assert line.end in places
        assert line.length > 0.0
        assert isinstance(line.parts[0], Pipe)
        assert line.parts[0].length > 0.0
        assert line.bore > 0.0
        straight = math.dist(places[line.start], places[line.end])
        assert line.length >= 0.99 * straight - 1.1e-3
    for tee in system.tees:
        assert {*tee.run, tee.branch, tee.common} <= names
    for selector in system.selectors:
        assert {*selector.ports.values(), selector.outlet} <= names
        assert selector.judged
    assert 0.0 < system.engine.burn < math.inf
    assert system.temperatures
    assert math.isfinite(system.flight.climb_pitch + system.flight.climb_speed)
    assert system.flight.climb_pitch >= system.flight.level_pitch
    assert system.test_draw > 0.0
    assert all(entry.origin in ("assumed", "default") for entry in system.provenance)


@_SETTINGS
@given(st.text(max_size=300))
def test_any_text(text: str) -> None:
    _check(text)


@_SETTINGS
@given(st.text(alphabet="[]{}=\".,#\n' \\abfuel19-_x", max_size=200))
def test_text_that_looks_like_toml(text: str) -> None:
    _check(text)


@_SETTINGS
@given(st.binary(max_size=300))
def test_any_bytes(content: bytes) -> None:
    try:
        text = decode(content, "case.toml")
    except InputError:
        return
    _check(text)


@_SETTINGS
@given(st.sampled_from(_BASES), st.data())
def test_lines_deleted_doubled_swapped(base: str, data: st.DataObject) -> None:
    lines = base.split("\n")
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(lines) - 1))
        other = data.draw(st.integers(0, len(lines) - 1))
        how = data.draw(st.sampled_from(["delete", "double", "swap", "copy", "cut"]))
        if how == "delete":
            del lines[at]
        elif how == "double":
            lines.insert(at, lines[at])
        elif how == "swap":
            lines[at], lines[other] = lines[other], lines[at]
        elif how == "copy":
            lines[at] = lines[other]
        else:
            lines = lines[: max(at, 1)]
        if not lines:
            break
    _check("\n".join(lines))


@settings(parent=_SETTINGS, max_examples=300)
@given(st.sampled_from(_BASES), st.data())
def test_values_changed(base: str, data: st.DataObject) -> None:
    text = base
    for _ in range(data.draw(st.integers(1, 3))):
        places = list(_VALUE.finditer(text))
        place = data.draw(st.sampled_from(places))
        text = text[: place.start()] + data.draw(_ANY_VALUE) + text[place.end() :]
    _check(text)


@settings(parent=_SETTINGS, max_examples=200)
@given(st.sampled_from(_BASES), st.data())
def test_keys_and_parts_put_in_anywhere(base: str, data: st.DataObject) -> None:
    text = base
    for _ in range(data.draw(st.integers(1, 3))):
        lines = text.split("\n")
        lines.insert(data.draw(st.integers(0, len(lines) - 1)), data.draw(_EXAMPLES))
        text = "\n".join(lines)
        places = [match.start() for match in re.finditer(r"\{ part", text)]
        if places and data.draw(st.booleans()):
            at = data.draw(st.sampled_from(places))
            keys = ", ".join(data.draw(st.lists(_EXAMPLES, max_size=3, unique=True)))
            part = data.draw(st.sampled_from(known_parts()))
            text = f'{text[:at]}{{ part = "{part}", {keys} }}, {text[at:]}'
    _check(text)


@settings(parent=_SETTINGS, max_examples=200)
@given(st.sampled_from(_BASES), st.data())
def test_lengths_scaled_within_their_sense(base: str, data: st.DataObject) -> None:
    """Sizes that are possible, but not of an aeroplane, give a system or words."""
    text = base
    for _ in range(data.draw(st.integers(1, 3))):
        places = list(re.finditer(r'"-?[0-9./]+ (in|L|US_gal|deg|kt|ft)"', text))
        place = data.draw(st.sampled_from(places))
        number = data.draw(st.floats(-200, 200, allow_nan=False).map(lambda x: f"{x:.3g}"))
        text = text[: place.start()] + f'"{number} {place[1]}"' + text[place.end() :]
    _check(text)


@given(
    st.floats(allow_nan=False, allow_infinity=False, width=32),
    st.sampled_from(kinds.KINDS),
    st.data(),
)
def test_quantities_scale_with_their_number(
    number: float, kind: kinds.Kind, data: st.DataObject
) -> None:
    """A read value lies in its range, and its SI text reads as the same value again."""
    unit = data.draw(st.sampled_from(kind.units))
    try:
        read = parse_quantity(f"{number!r} {unit}", kind)
    except QuantityError:
        return
    assert kind.low <= read.value <= kind.high
    again = parse_quantity(f"{read.number!r} {read.unit}", kind)
    assert again.value == read.value


@given(st.text(max_size=120), st.sampled_from(kinds.KINDS))
def test_any_text_as_a_quantity(text: str, kind: kinds.Kind) -> None:
    try:
        value = parse_quantity(text, kind).value
    except QuantityError as error:
        problem = f"{error.problem}{error.remedy}"
    else:
        problem = ""
        assert math.isfinite(value)
    assert problem.isprintable()


@pytest.mark.parametrize("base", _BASES)
def test_mutations_start_from_sound_cases(base: str) -> None:
    assert isinstance(read_case_text(base, "case.toml"), FuelSystem)

"""Inserts, fittings at an outlet, tees that only feed a drain, what protects a line."""

from collections.abc import Callable

import pytest

from flowsim.errors import Mistake
from flowsim.files.case.reader import read_case_text
from flowsim.files.results.routing_json import fittings_told
from flowsim.physics.losses.formed_fittings import sudden_change
from flowsim.studies.routing.study import route_study

Read = Callable[[str], list[Mistake]]

_INCH = 0.0254


def _rig(line: str, outlet: str = "", more: str = "", to: str = "engine") -> str:
    return f"""title = "Rig"
[fuel]
kind = "water"
temperatures = ["20 degC"]
[engine]
inlet_at = ["0 m", "1 m", "0 m"]
feed = "gravity"
burn = "10 kg/h"
[flight]
climb_pitch = "10 deg"
climb_speed = "60 kt"
pressure_altitude = "0 ft"
[test]
draw = "1 L"
[[tank]]
name = "top"
shape = "level"
surface_at = ["0 m", "0 m", "1 m"]
[[tank.outlet]]
name = "out"
at = ["0 m", "0 m", "0.5 m"]
bore = "8 mm"
{outlet}
[[line]]
name = "only"
from = "top.out"
to = "{to}"
tube = "3/8 in x 0.050 in"
material = "nylon tube"
length = "2 m"
{line}
{more}
"""


def test_fittings_at_the_outlet_count_with_the_line_in_their_order() -> None:
    fittings = '{ part = "bulkhead union", name = "wall" }, { part = "elbow 90", bore = "7 mm" }'
    at_outlet = read_case_text(_rig("", f"parts = [{fittings}]"), "rig")
    in_line = read_case_text(_rig(f"parts = [{fittings}]"), "rig")
    assert at_outlet.lines[0].parts == in_line.lines[0].parts
    turned_round = _rig("", f"parts = [{fittings}]").replace(
        'from = "top.out"\nto = "engine"', 'from = "engine"\nto = "top.out"'
    )
    kinds = [
        getattr(part, "kind", "") for part in read_case_text(turned_round, "rig").lines[0].parts
    ]
    assert kinds == ["", "elbow 90", "bulkhead union"]
    assert route_study(at_outlet).cuts[0].pieces == 1


@pytest.mark.parametrize(
    ("outlet", "more", "problem"),
    [
        ('parts = [{ part = "one-way valve", cracking = "1 Pa", kv = 1.0 }]', "",
         "has a direction"),
        ('parts = [{ part = "straight union" }]',
         '[[line]]\nname = "two"\nfrom = "top.out"\nto = "engine"\nbore = "8 mm"\nlength = "2 m"',
         "2 lines begin or end at the outlet"),
        ('parts = [{ part = "elbow 90" }]', "", "is missing (fitting bore)"),
    ],
)  # fmt: skip
def test_mistakes_of_fittings_at_an_outlet(
    outlet: str, more: str, problem: str, mistakes: Read
) -> None:
    (found,) = mistakes(_rig("", outlet, more))
    assert problem in found.problem
    assert found.item.startswith('tank "top", outlet "out", part')


_TEE = '[[tee]]\nname = "low"\nat = ["0 m", "0.5 m", "0.1 m"]\n{}\n'
_SECOND = '[[line]]\nname = "on"\nfrom = "low"\nto = "engine"\nbore = "8 mm"\nlength = "2 m"\n'
_STUB = (
    '[[line]]\nname = "stub"\nfrom = "low"\nto = "drain"\nbore = "8 mm"\nstraight = true\n'
    '[[drain]]\nname = "drain"\nat = ["0 m", "0.5 m", "0 m"]\n'
)
_AT_TEE = '[[drain]]\nname = "drain"\nreaches = "low"\n'


@pytest.mark.parametrize(
    ("ports", "drain", "kind"),
    [
        ('run = ["only", "on"]', _AT_TEE, "tee run"),
        ('run = ["only", "on"]\nbranch = "stub"', _STUB, "tee run"),
        ('run = ["only"]\nbranch = "on"', _AT_TEE, "tee turn"),
        ('run = ["only", "stub"]\nbranch = "on"', _STUB, "tee turn"),
    ],
)
def test_a_tee_that_only_feeds_a_drain(ports: str, drain: str, kind: str) -> None:
    """Its one stream passes straight through or turns; the narrower line's bore if not given."""
    text = _rig("", more=_TEE.format(ports) + _SECOND + drain, to="low")
    system = read_case_text(text, "rig")
    assert system.tees == ()
    assert [line.name for line in system.lines] == ["only", "on"]
    losses = [p for line in system.lines for p in line.parts if getattr(p, "kind", "") == kind]
    assert [(loss.bore, loss.name) for loss in losses] == [
        (pytest.approx(0.275 * _INCH), f"low, {kind}")
    ]
    counted = dict(fittings_told(route_study(system)))
    assert [counted[name] for name in counted if name.startswith("tee")] == [1]


_TEE_MISTAKES = {
    "no drain": ('run = ["only", "on"]', "", 'tee "low", branch', "is missing", "a [[drain]] that"),
    "no common leg": (
        'run = ["only", "on"]\nbranch = "third"',
        '[[line]]\nname = "third"\nfrom = "low"\nto = "engine"\nbore = "8 mm"\nlength = "2 m"\n',
        'tee "low", common', "is missing", "common = ",
    ),
    "drain without a place": (
        'run = ["only", "on"]\nbranch = "stub"',
        _STUB.replace('at = ["0 m", "0.5 m", "0 m"]\n', ""),
        'drain "drain", at', "is missing", "at = ",
    ),
    "drain of nothing": (
        'run = ["only", "on"]', _AT_TEE + '[[drain]]\nname = "other"\nat = ["0 m", "0 m", "0 m"]\n',
        'drain "other", reaches', "is missing", "end a line at the drain",
    ),
    "drain that reaches elsewhere": (
        'run = ["only", "on"]\nbranch = "stub"', _STUB + 'reaches = "top"\n',
        'drain "drain", reaches', 'it reaches what its line "stub" leads to', "delete it",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", _TEE_MISTAKES)
def test_mistakes_of_drain_tees(name: str, mistakes: Read) -> None:
    ports, drain, item, problem, remedy = _TEE_MISTAKES[name]
    found = mistakes(_rig("", more=_TEE.format(ports) + _SECOND + drain, to="low"))
    assert [m.item for m in found] == [item], "\n".join(str(m) for m in found)
    assert problem in found[0].problem
    assert remedy in found[0].remedy


_PROTECTION_MISTAKES = {
    '{ kind = "sleeve" }': ("along", "does not say where it is"),
    '{ kind = "sleeve", run = 1, length = "1 in" }': ("length", "run is given as well"),
    '{ kind = "sleeve", run = 1 }': ("run", "its runs are not known"),
    '{ kind = "sleeve", along = "1.9 m", length = "0.5 m" }': ("length", "beyond the line's end"),
    '{ kind = "paint", run = 1 }': ("kind", "is not known here"),
}


@pytest.mark.parametrize("text", _PROTECTION_MISTAKES)
def test_mistakes_of_protection(text: str, mistakes: Read) -> None:
    key, problem = _PROTECTION_MISTAKES[text]
    (found,) = mistakes(_rig(f"installation = {{ protection = [{text}] }}"))
    assert problem in found.problem
    assert found.item.endswith(f", {key}")


def test_an_insert_costs_a_contraction_and_an_expansion() -> None:
    """From 0.275 in to 0.2 in and back: Borda-Carnot (1 - b2)^2 and Rennels, on its bore."""

    big, small = 0.275 * _INCH, 0.2 * _INCH
    expected = sudden_change(big, small).k_inf + (1 - (small / big) ** 2) ** 2
    text = _rig('parts = [{ part = "insert", bore = "0.2 in" }]')
    (insert,) = read_case_text(text, "rig").lines[0].parts[1:]
    assert insert.k_inf == pytest.approx(expected)
    assert insert.kind == "hose barb"

"""Names are what a builder writes: nothing is told from a blank, a colon or a number in them."""

from dataclasses import replace

import pytest

from flowsim.document.words.telling import told
from flowsim.network.assembly import assemble
from flowsim.network.elements import PlacedPart, key_head
from flowsim.physics.losses.fitting_catalogue import fitting
from flowsim.studies.review.unmeasured import measurement_of
from flowsim.studies.sampling.causes import cause_of, uncertain_inputs
from flowsim.studies.sizing.study import _name
from flowsim.system.parts import Pipe
from tests.support.systems import BORE, one_tank

HARD = ("feed #2", "a: b", "down: down #0", "left entrance")


def _called(name: str):
    """Give a system whose first line is called so and has an elbow."""
    system = one_tank()
    first = system.lines[0]
    elbow = replace(fitting("elbow 90", BORE), name="elbow #1 entrance")
    pipe = replace(first.parts[0], name=name)
    first = replace(first, name=name, parts=(pipe, elbow))
    return assemble(replace(system, lines=(first, *system.lines[1:])))


@pytest.mark.parametrize("name", HARD)
def test_a_part_is_called_in_full_whatever_its_line_is_called(name):
    assembly = _called(name)
    elbow = next(p for p in assembly.network.placed if p.part.name == "elbow #1 entrance")
    assert elbow.called == f"{name}: elbow #1 entrance"
    found = {item.key: item.name for item in uncertain_inputs(assembly)}
    assert told(found[cause_of(elbow)]) == f"loss of {name}: elbow #1 entrance"


@pytest.mark.parametrize("name", HARD)
def test_the_tube_of_a_line_is_called_so(name):
    placed = next(p for p in _called(name).network.placed if isinstance(p.part, Pipe))
    assert told(_name(placed)) == f"{name}: its tube or hose"


def test_two_things_never_share_a_key():
    """A line "a: b" with a part "c", and a line "a" with a part "b: c"."""
    assert key_head("a: b") + "c #0" != key_head("a") + "b: c #0"
    assert not key_head("a: b").startswith(key_head("a"))
    assert key_head("feed") == "feed: "


def test_only_the_entrance_of_an_outlet_is_measured_at_the_tank():
    selector = PlacedPart(part=fitting("elbow 90", BORE), key="selector rear entrance", share=0.5)
    assert "out of the tank" not in told(measurement_of(selector))
    placed = next(p for p in assemble(one_tank()).network.placed if p.key.endswith(" entrance"))
    assert "out of the tank" in told(measurement_of(placed))

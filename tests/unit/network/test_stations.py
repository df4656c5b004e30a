"""Places along a line: where they are, how wide it is there, what is lost up to there."""

import math

import numpy as np
import pytest

from flowsim.network.elements import Link, Network, PlacedPart
from flowsim.network.stations import stations_of
from flowsim.system.lines import Line
from flowsim.system.parts import Pipe
from flowsim.system.points import Point
from tests.support.small_networks import fitting, quadratic

ROUTE = (Point(0.0, 0.0, 1.0), Point(3.0, 4.0, 1.0), Point(3.0, 4.0, 0.0), Point(3.0, 0.0, 0.0))
"""Legs of 5, 1 and 4 m."""
WIDE, NARROW, VALVE = 9e-3, 7e-3, 5e-3


def pipe(length: float, bore: float) -> Pipe:
    return Pipe(name="pipe", length=length, bore=bore, roughness=1.5e-6)


PARTS = (
    fitting(1.0, bore=WIDE),
    pipe(4.0, WIDE),
    fitting(2.0, bore=VALVE),
    pipe(6.0, NARROW),
    quadratic(1e7),
)


def places(ports=(math.inf, math.inf), parts=PARTS):
    """Places of the second of two lines, so that its parts do not begin at 0."""
    line = Line(name="line", start="a", end="b", parts=parts, route=ROUTE, length=10.0, bore=WIDE)
    links = tuple(
        Link(
            name=name,
            start=start,
            end=start + 1,
            parts=tuple(
                PlacedPart(part=part, key=f"{name} {number}") for number, part in enumerate(given)
            ),
        )
        for start, (name, given) in enumerate((("before", (pipe(1.0, WIDE),)), ("line", parts)))
    )
    network = Network(("a", "b", "c"), np.array([True, False, True]), links)
    return stations_of(network, 1, line, np.array(ROUTE), np.array(ports))


def at(found, share):
    """Numbers of the places at a share of the length."""
    return np.flatnonzero(np.isclose(found.share, share)).tolist()


def test_points_ends_of_pieces_and_fittings_are_places():
    found = places()
    assert (np.diff(found.share) >= 0.0).all()
    assert (found.share[0], found.share[-1]) == (0.0, 1.0)
    assert set(np.round(found.share, 12)) >= {0.0, 0.4, 0.5, 0.6, 1.0}
    for share, point in ((0.0, ROUTE[0]), (0.5, ROUTE[1]), (0.6, ROUTE[2]), (1.0, ROUTE[3])):
        for number in at(found, share):
            assert found.points[number] == pytest.approx(tuple(point))
    # Four metres on: four fifths of the first leg.
    assert found.points[at(found, 0.4)[0]] == pytest.approx((2.4, 3.2, 1.0))


def test_bores_are_those_of_the_pieces_the_fittings_and_the_ports():
    found = places()
    assert len(found.bore) == len(found.share) == len(found.points)
    # Where the pieces meet the narrower counts, and the valve between them has a place of its own.
    assert sorted(found.bore[at(found, 0.4)]) == [VALVE, NARROW]
    assert set(found.bore[at(found, 0.5)]) == {NARROW}
    assert (found.bore[0], found.bore[-1]) == (WIDE, NARROW)
    screwed = places(ports=(6e-3, 4e-3))
    assert (screwed.bore[0], screwed.bore[-1]) == (6e-3, 4e-3)
    inner = slice(1, -1)
    assert screwed.bore[inner] == pytest.approx(found.bore[inner])


@pytest.mark.parametrize("first", [True, False])
def test_a_fitting_at_an_end_stands_inside_it(first):
    valve = PARTS[2]
    parts = (valve, pipe(10.0, WIDE)) if first else (pipe(10.0, WIDE), valve)
    found = places(parts=parts)
    assert found.bore[[0, -1]] == pytest.approx(WIDE)
    assert found.bore[1 if first else -2] == VALVE
    assert found.share[1 if first else -2] == (0.0 if first else 1.0)


def test_what_is_lost_up_to_a_place_grows_along_the_flow():
    found = places()
    # The other line's pipe, then fitting, pipe, valve, pipe, stated loss of this one.
    losses = np.array([[100.0, 1.0, 10.0, 2.0, 20.0, 4.0]] * 2)
    assert found.pipes.tolist() == [2, 4]
    assert sorted(found.others.tolist()) == [1, 3, 5]
    forward, back = found.lost(losses, np.array([1e-5, -1e-5]))
    lumped = 1.0 + 2.0 + 4.0
    for share, friction in ((0.0, 0.0), (0.4, 10.0), (0.5, 10.0 + 20.0 / 6.0), (1.0, 30.0)):
        for number in at(found, share):
            assert forward[number] == pytest.approx(lumped + friction)
            assert back[number] == pytest.approx(lumped + 30.0 - friction)


def test_a_line_without_length_or_tube():
    """Both ends at one point: places evenly, bore of the line, all lost at once."""
    line = Line(name="line", start="a", end="b", parts=PARTS[:1], route=(), length=0.0, bore=WIDE)
    placed = (PlacedPart(part=PARTS[0], key="fitting"),)
    network = Network(
        ("a", "b"), np.array([True, True]), (Link(name="line", start=0, end=1, parts=placed),)
    )
    same = np.zeros((2, 3))
    found = stations_of(network, 0, line, same, np.array([math.inf, 4e-3]))
    assert (found.share[0], found.share[-1]) == (0.0, 1.0)
    assert (found.bore[0], found.bore[-1]) == (WIDE, 4e-3)
    assert found.lost(np.array([[3.0]]), np.array([1e-5])) == pytest.approx(
        np.full((1, len(found.share)), 3.0)
    )

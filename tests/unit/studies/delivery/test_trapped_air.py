"""Air behind high points in lines whose flow is a square root, so that every clearing is by hand.

Clearing laws: P. E. Wisner et al., ASCE J. Hydraul. Div. 101(2) (1975) 243-257, V/sqrt(gD) = 0.825
+ 0.25 sqrt(sin slope) as quoted in a design rule; F. Viana et al., J. Fluid Mech. 494 (2003) 379,
Fr = 0.34/(1 + 3805/Eo^3.06)^0.58, times 1.8 (see ``flowsim.physics.air.trapped``).
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from flowsim.document.words.telling import all_told
from flowsim.network.assembly import Assembly, assemble
from flowsim.physics.air.trapped import HumpState
from flowsim.physics.losses.laws import exit_coefficient
from flowsim.studies.delivery.deliver import deliver
from flowsim.studies.delivery.trapped_air import (
    SURFACE_TENSION,
    TrappedAir,
    held_heads,
    leg_states,
    legs_of,
    runs_down,
    trapped_air,
    ways_of,
    with_held_head,
)
from flowsim.system.lines import Junction
from flowsim.system.points import Point
from tests.support.plain_systems import (
    AREA,
    BORE,
    DENSITY,
    GRAVITY,
    VISCOSITY,
    loss,
    plain,
    reservoir,
    run,
    situation,
)

HEAD = 0.8
"""[m] Surface over the line's end."""
WISNER = 1.075 * np.sqrt(GRAVITY * BORE)
"""[m/s] Of a vertical leg: 0.301."""
SURELY = 2 * WISNER
"""[m/s] From which a leg is called clear in so small a bore: 0.602."""
WORST_JET = 1.11
"""[-] Kinetic energy of the jet at the upper end of its band; nothing else is uncertain here."""

DOUBTFUL = "down, point 2: uncertain to clear, if it is one (no higher than the heights are known)"


def words_of(found):
    """Give the humps of every scenario as they are told."""
    return tuple(all_told(names) for names in found.humps)


def viana(bore: float) -> float:
    """Velocity [m/s] below which air surely stays."""
    eotvos = DENSITY * GRAVITY * bore**2 / SURFACE_TENSION
    return 1.8 * 0.34 / (1.0 + 3805.0 / eotvos**3.06) ** 0.58 * np.sqrt(GRAVITY * bore)


def jet(velocity: float, bore: float = BORE) -> float:
    """Head [m] that the open end loses."""
    k = float(exit_coefficient(np.array(velocity * bore / VISCOSITY))[0])
    return k * velocity**2 / (2 * GRAVITY)


def coefficient(velocity: float, head: float, worst: float = 1.0) -> float:
    """Resistance [s2/m5] with which ``head`` drives ``velocity`` in the bore."""
    return (head - worst * jet(velocity)) / (velocity * AREA) ** 2


def driven(resistance: float, head: float) -> float:
    """Velocity [m/s] that ``head`` drives through a resistance and out of the open end."""
    return brentq(lambda v: resistance * (v * AREA) ** 2 + jet(v) - head, 0.0, 10.0, xtol=1e-14)


def points(*heights: float) -> list[Point]:
    return [Point(1.0, 0.0, height) for height in heights]


def one_hump(
    resistance: float, route: Sequence[Point] = tuple(points(0.5, 0.1, 0.3, 0.0)), **given: Any
) -> Assembly:
    """Tank 0.8 m above the end; the line rises to a hump and falls 0.3 m behind it."""
    down = run("down", "tank.out", "engine", route, loss(resistance))
    return assemble(plain([reservoir("tank", HEAD, {"out": route[0]})], [down], **given))


def found_in(assembly: Assembly, pitch: Sequence[float] = (0.0,)) -> tuple[TrappedAir, np.ndarray]:
    """Trapped air, and velocity in the bore with it."""
    here = situation(assembly, pitch)
    found = trapped_air(assembly, here, deliver(assembly, here))
    return found, found.flow / AREA


def test_the_laws_of_these_tests_lie_where_they_should():
    assert pytest.approx(0.301, abs=5e-4) == WISNER
    assert viana(BORE) == pytest.approx(0.144, abs=5e-4)


class TestOneHump:
    def test_a_fast_flow_clears_it(self):
        resistance = coefficient(1.01 * SURELY, HEAD - 0.3, WORST_JET)
        found, velocity = found_in(one_hump(resistance))
        assert found.held.tolist() == [0.0]
        assert words_of(found) == ((),)
        assert velocity == pytest.approx(driven(resistance, HEAD), rel=1e-6)

    def test_the_flow_left_with_the_air_decides_and_at_its_unfavourable_end(self):
        # 0.99 of the clearing velocity with the air in place and the jet at its dearest; 1.25 of it
        # in the full line.
        resistance = coefficient(0.99 * SURELY, HEAD - 0.3, WORST_JET)
        found, velocity = found_in(one_hump(resistance))
        assert driven(resistance, HEAD - 0.3) > 0.99 * SURELY
        assert found.held == pytest.approx([0.3])
        assert found.held_head.tolist() == [[pytest.approx(0.3), 0.0]]
        assert words_of(found) == (("down, point 2: uncertain to clear",),)
        assert velocity == pytest.approx(driven(resistance, HEAD - 0.3), rel=1e-6)

    def test_a_line_drawn_towards_its_tank_has_the_same_hump(self):
        route = points(0.5, 0.1, 0.3, 0.0)
        resistance = coefficient(0.99 * SURELY, HEAD - 0.3, WORST_JET)
        drawn_back = run("down", "engine", "tank.out", route[::-1], loss(resistance))
        tank = reservoir("tank", HEAD, {"out": route[0]})
        back, velocity = found_in(assemble(plain([tank], [drawn_back])))
        there, same = found_in(one_hump(resistance))
        assert velocity == pytest.approx(same, rel=1e-9)
        assert velocity[0] > 0
        assert back.held == pytest.approx(there.held)
        assert back.held_head == pytest.approx(-there.held_head)
        assert words_of(back) == (("down, point 1: uncertain to clear",),)  # from its own start

    @pytest.mark.parametrize(
        ("share", "told"), [(0.99, "will not clear"), (1.01, "uncertain to clear")]
    )
    def test_below_the_bubbles_own_speed_it_will_not_clear(self, share, told):
        found, velocity = found_in(one_hump(coefficient(share * viana(BORE), HEAD - 0.3)))
        assert words_of(found) == ((f"down, point 2: {told}",),)
        assert velocity == pytest.approx(share * viana(BORE), rel=1e-6)

    def test_a_leg_higher_than_the_head_stops_the_flow(self):
        assembly = one_hump(coefficient(1.0, 1.0), points(0.5, -0.9, 0.9, 0.0))
        found, velocity = found_in(assembly)
        assert found.held == pytest.approx([0.9])
        assert velocity == pytest.approx([0.0], abs=1e-9)
        assert words_of(found) == (("down, point 2: will not clear",),)

    def test_a_line_that_only_falls_has_none(self):
        assembly = one_hump(coefficient(0.1, HEAD), points(0.5, 0.3, 0.0))
        found, velocity = found_in(assembly)
        assert found.held.tolist() == [0.0]
        assert words_of(found) == ((),)
        assert velocity == pytest.approx([0.1], rel=1e-6)

    def test_a_gentle_leg_clears_before_a_steep_one(self):
        # Hump, 0.1 m straight down, then 0.2 m down over 2 m: the slope's sine is 0.0995 and asks
        # 2 x 0.904 sqrt(gD), the vertical 2 x 1.075. At 1.9 between them only the vertical leg
        # holds.
        route = [*points(0.5, 0.1, 0.3, 0.2), Point(3.0, 0.0, 0.0)]
        resistance = coefficient(1.9 * np.sqrt(GRAVITY * BORE), HEAD - 0.3, WORST_JET)
        found, velocity = found_in(one_hump(resistance, route))
        assert found.held == pytest.approx([0.1])
        assert words_of(found) == (("down, point 2: uncertain to clear",),)
        assert velocity == pytest.approx(driven(resistance, HEAD - 0.1), rel=1e-6)

    def test_two_humps_hold_back_both_falls(self):
        assembly = one_hump(coefficient(0.2, HEAD - 0.35), points(0.5, 0.1, 0.3, 0.2, 0.25, 0.0))
        found, velocity = found_in(assembly)
        assert found.held == pytest.approx([0.35])
        told = ("down, point 2: uncertain to clear", "down, point 4: uncertain to clear")
        assert words_of(found) == (told,)
        assert velocity == pytest.approx([0.2], rel=1e-6)

    def test_each_attitude_has_its_own(self):
        # Level the line falls all the way; 0.1 rad nose-up its aft end at station 3 sinks by 0.2 m
        # and the forward end is a hump. All lengths by rotation: height z cos - x sin (aft down).
        route = [Point(1.0, 0, 0.3), Point(3.0, 0, 0.2), Point(1.0, 0, 0.15), Point(3.0, 0, 0.0)]
        resistance = coefficient(0.2, 0.5)
        assembly = one_hump(resistance, route)
        pitch = 0.1
        heights = [point[2] * np.cos(pitch) - point[0] * np.sin(pitch) for point in route]
        fall = heights[2] - heights[3]
        found, velocity = found_in(assembly, (0.0, pitch, 0.0, pitch))
        assert found.held == pytest.approx([0.0, fall, 0.0, fall])
        told = ("down, point 2: uncertain to clear",)
        assert words_of(found) == ((), told, (), told)
        head = HEAD * np.cos(pitch) - np.sin(pitch) - heights[3]
        expected = [driven(resistance, HEAD), driven(resistance, head - fall)]
        assert velocity == pytest.approx(np.tile(expected, 2), rel=1e-6)

    def test_a_hump_no_higher_than_the_heights_are_known_is_doubtful_and_counts(self):
        # A rise of 8 mm where heights are known to 5 mm: two deviations are 10 mm.
        route = points(0.5, 0.29, 0.298, 0.0)
        resistance = coefficient(0.3, HEAD - 0.298)
        sure, _ = found_in(one_hump(resistance, route))
        doubtful, velocity = found_in(one_hump(resistance, route, height_deviation=0.005))
        assert words_of(sure) == (("down, point 2: uncertain to clear",),)
        assert words_of(doubtful) == ((DOUBTFUL,),)
        assert velocity == pytest.approx([0.3], rel=1e-6)

    def test_what_may_be_a_hump_counts_as_one(self):
        # A run of 1 m that falls by 4 mm may rise, as the heights are known; behind it 0.296 m.
        route = [*points(0.5, 0.3), Point(2.0, 0.0, 0.296), Point(2.0, 0.0, 0.0)]
        resistance = coefficient(0.3, HEAD - 0.296)
        sure, _ = found_in(one_hump(resistance, route))
        doubtful, velocity = found_in(one_hump(resistance, route, height_deviation=0.005))
        assert words_of(sure) == ((),)
        assert words_of(doubtful) == ((DOUBTFUL,),)
        assert doubtful.held == pytest.approx([0.296])
        assert velocity == pytest.approx([0.3], rel=1e-6)


class TestTwoBores:
    @staticmethod
    def two_lines(upper: float, lower: float, velocity: float) -> Assembly:
        """Give a hump whose leg goes on in a second line; ``velocity`` in the bore of 8 mm."""
        end = jet(velocity * (BORE / lower) ** 2, lower)
        resistance = (0.5 - end) / (velocity * AREA) ** 2
        lines = [
            run("upper", "tank.out", "middle", points(0.5, 0.1, 0.3, 0.2), bore=upper),
            run("lower", "middle", "engine", points(0.2, 0.0), loss(resistance), bore=lower),
        ]
        return assemble(
            plain(
                [reservoir("tank", HEAD, {"out": Point(1.0, 0.0, 0.5)}, bore=upper)],
                lines,
                [Junction(name="middle", at=Point(1.0, 0.0, 0.2))],
            )
        )

    @pytest.mark.parametrize(("upper", "lower"), [(BORE, 0.012), (0.012, BORE)])
    def test_the_widest_bore_behind_the_hump_judges_all_of_its_leg(self, upper, lower):
        # 0.2 m/s in the narrow bore is uncertain; 0.089 m/s in the wide one surely stays.
        assert viana(BORE) < 0.2 < WISNER
        assert viana(0.012) > 0.2 * (BORE / 0.012) ** 2
        found, velocity = found_in(self.two_lines(upper, lower, 0.2))
        assert found.held_head == pytest.approx(np.array([[0.1, 0.2, 0.0]]))
        assert found.held == pytest.approx([0.3])
        assert words_of(found) == (("upper, point 2: will not clear",),)
        assert velocity == pytest.approx([0.2], rel=5e-3)  # less what the step of bore costs

    def test_a_narrow_piece_does_not_clear_the_wide_one(self):
        # 0.9 m/s would clear the narrow leg; 0.4 m/s in the wide one behind it does not.
        found, _ = found_in(self.two_lines(BORE, 0.012, 0.9))
        assert SURELY < 0.9
        assert found.held_head == pytest.approx(np.array([[0.1, 0.2, 0.0]]))
        assert words_of(found) == (("upper, point 2: uncertain to clear",),)

    def test_states_follow_the_widest_bore_and_the_flow_down_each_leg(self):
        assembly = self.two_lines(BORE, 0.012, 0.2)
        legs = legs_of(assembly, situation(assembly))[0]
        assert [leg.link for leg in legs] == [0, 1]
        assert [leg.bore for leg in legs] == [0.012, 0.012]
        area = np.pi * 0.012**2 / 4
        clear = 2 * 1.075 * np.sqrt(GRAVITY * 0.012)
        flow = np.array([1.01 * clear, 0.99 * clear, 0.0]) * area
        two = (HumpState.WILL_NOT_CLEAR,) * 2
        slow = np.full(3, 0.99 * viana(0.012) * area)
        given = [legs, legs, (), legs, legs[:1], legs[:1]]  # the second runs up the legs
        flows = np.array([flow, -flow, flow, 0.0 * flow, slow, slow])
        density = np.array([DENSITY] * 5 + [600.0])
        assert leg_states(given, flows, density) == [
            (HumpState.CLEARS, HumpState.UNCERTAIN), two, (), two, two[:1],
            (HumpState.UNCERTAIN,),  # less dense: the bubble drifts slower
        ]  # fmt: skip
        assert leg_states([(), ()], flows[:2], density[:2]) == [(), ()]

    def test_heads_of_legs_in_one_line_add_up_and_are_signed_as_the_flow(self):
        assembly = self.two_lines(BORE, 0.012, 0.2)
        legs = legs_of(assembly, situation(assembly))[0]
        back = replace(legs[1], is_back=True, fall=0.15)
        way = np.array([[0.0] * 3, [1.0] * 3, [1.0] * 3, [1.0, -1.0, 0.0], [0.0] * 3])
        given = [(), legs, (legs[0], legs[0]), (*legs, back), (legs[0], back)]
        expected = [[0, 0, 0], [0.1, 0.2, 0], [0.2, 0, 0], [0.1, -0.15, 0], [0.1, -0.15, 0]]
        assert held_heads(3, given, way) == pytest.approx(np.array(expected))

    def test_which_way_a_still_line_runs_is_not_told_from_rounding(self):
        """One system gave 30 times the flow of its like, by the sign of 1e-18 m3/s."""
        way = ways_of(np.array([[1e-18, -1e-13, 1e-10], [-1e-18, 0.0, -1e-10]]))
        assert way.tolist() == [[0.0, 0.0, 1e-10], [0.0, 0.0, -1e-10]]

    def test_only_legs_that_fuel_runs_down_hold_it_back(self):
        assembly = self.two_lines(BORE, 0.012, 0.2)
        leg = legs_of(assembly, situation(assembly))[0][0]
        ahead, astern, still = (np.array([flow, 0.0, 0.0]) for flow in (1e-5, -1e-5, 0.0))
        assert [runs_down(leg, flow) for flow in (ahead, astern, still)] == [True, False, True]
        turned = replace(leg, is_back=True)
        assert [runs_down(turned, flow) for flow in (ahead, astern, still)] == [False, True, True]


class TestHeldHead:
    def test_it_is_put_in_and_nothing_else_changes(self):
        assembly = one_hump(coefficient(0.2, 0.5))
        here = situation(assembly)
        held = np.array([[0.25, 0.0]])
        changed = with_held_head(here, held)
        assert changed.conditions.held_head is held
        assert here.conditions.held_head.tolist() == [[0.0, 0.0]]
        assert changed.elevation is here.elevation
        flow = deliver(assembly, changed).deliverable
        assert flow / AREA == pytest.approx([driven(coefficient(0.2, 0.5), 0.55)], rel=1e-6)

    def test_legs_behind_a_bare_outlet_or_a_shut_line_do_not_count(self):
        # An outlet just above the surface feeds nothing: its hump cannot hold the flow back.
        lines = [
            run("wet", "tank.low", "engine", points(0.5, 0.0), loss(1e8)),
            run("dry", "tank.high", "engine", points(0.9, 0.1, 0.3, 0.0), loss(1e8)),
        ]
        outlets = {"low": Point(1.0, 0.0, 0.5), "high": Point(1.0, 0.0, 0.9)}
        assembly = assemble(plain([reservoir("tank", HEAD, outlets)], lines))
        here = situation(assembly)
        assert here.uncovered.tolist() == [[False, True]]
        assert legs_of(assembly, here) == [()]
        assert found_in(assembly)[0].held.tolist() == [0.0]

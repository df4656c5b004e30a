"""Air behind high points in lines whose flow is a square root, so that every clearing is by hand.

Clearing laws: P. E. Wisner et al., ASCE J. Hydraul. Div. 101 (1975) 315, V/sqrt(gD) = 0.825 + 0.25
sqrt(sin slope) as quoted in a design rule; F. Viana et al., J. Fluid Mech. 494 (2003) 379, Fr =
0.34/(1 + 3805/Eo^3.06)^0.58, times 1.8 (see ``flowsim.physics.air``).
"""

from collections.abc import Sequence

import numpy as np
import pytest

from flowsim.network.assembly import Assembly, assemble
from flowsim.physics.air import HumpState
from flowsim.studies.deliver import deliver
from flowsim.studies.trapped_air import (
    SURFACE_TENSION,
    TrappedAir,
    held_heads,
    leg_states,
    legs_of,
    trapped_air,
    with_held_head,
)
from flowsim.system.lines import Junction
from flowsim.system.points import Point
from tests.support.plain_systems import (
    AREA,
    BORE,
    DENSITY,
    GRAVITY,
    WIDE,
    loss,
    plain,
    reservoir,
    run,
    situation,
    tube,
)

HEAD = 0.8
"""[m] Surface over the line's end."""
WISNER = 1.075 * np.sqrt(GRAVITY * BORE)
"""[m/s] Clears a vertical leg: 0.301."""


def viana(bore: float) -> float:
    """Velocity [m/s] below which air surely stays."""
    eotvos = DENSITY * GRAVITY * bore**2 / SURFACE_TENSION
    return 1.8 * 0.34 / (1.0 + 3805.0 / eotvos**3.06) ** 0.58 * np.sqrt(GRAVITY * bore)


def coefficient(velocity: float, head: float) -> float:
    """Resistance [s2/m5] through which ``head`` drives ``velocity`` in the bore."""
    return head / (velocity * AREA) ** 2


def points(*heights: float) -> list[Point]:
    return [Point(1.0, 0.0, height) for height in heights]


def one_hump(
    resistance: float, route: Sequence[Point] = tuple(points(0.5, 0.1, 0.3, 0.0))
) -> Assembly:
    """Tank 0.8 m above the end; the line rises to a hump and falls 0.3 m behind it."""
    down = run("down", "tank.out", "engine", route, tube(1e-9), loss(resistance), bore=WIDE)
    return assemble(plain([reservoir("tank", HEAD, {"out": route[0]})], [down]))


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
        assembly = one_hump(coefficient(1.01 * WISNER, HEAD - 0.3))
        found, velocity = found_in(assembly)
        assert found.held.tolist() == [0.0]
        assert found.humps == ((),)
        assert velocity == pytest.approx(1.01 * WISNER * np.sqrt(0.8 / 0.5), rel=1e-4)

    def test_the_flow_left_with_the_air_decides_not_that_of_the_full_line(self):
        # 0.99 of the clearing velocity with the air in place; 1.25 of it in the full line.
        assembly = one_hump(coefficient(0.99 * WISNER, HEAD - 0.3))
        found, velocity = found_in(assembly)
        assert found.held == pytest.approx([0.3])
        assert found.held_head.tolist() == [[pytest.approx(0.3), 0.0]]
        assert found.humps == (("down, point 3: uncertain to clear",),)
        assert velocity == pytest.approx(0.99 * WISNER, rel=1e-4)

    @pytest.mark.parametrize(
        ("share", "told"), [(0.99, "will not clear"), (1.01, "uncertain to clear")]
    )
    def test_below_the_bubbles_own_speed_it_will_not_clear(self, share, told):
        found, velocity = found_in(one_hump(coefficient(share * viana(BORE), HEAD - 0.3)))
        assert found.humps == ((f"down, point 3: {told}",),)
        assert velocity == pytest.approx(share * viana(BORE), rel=1e-4)

    def test_a_leg_higher_than_the_head_stops_the_flow(self):
        assembly = one_hump(coefficient(1.0, 1.0), points(0.5, -0.9, 0.9, 0.0))
        found, velocity = found_in(assembly)
        assert found.held == pytest.approx([0.9])
        assert velocity == pytest.approx([0.0], abs=1e-9)
        assert found.humps == (("down, point 3: will not clear",),)

    def test_a_line_that_only_falls_has_none(self):
        assembly = one_hump(coefficient(0.1, HEAD), points(0.5, 0.3, 0.0))
        found, velocity = found_in(assembly)
        assert found.held.tolist() == [0.0]
        assert found.humps == ((),)
        assert velocity == pytest.approx([0.1], rel=1e-4)

    def test_a_gentle_leg_clears_before_a_steep_one(self):
        # Hump, 0.1 m straight down, then 0.2 m down over 2 m: the slope's sine is 0.0995 and asks
        # 0.904 sqrt(gD), the vertical 1.075. At 0.95 between them only the vertical leg holds.
        route = [*points(0.5, 0.1, 0.3, 0.2), Point(3.0, 0.0, 0.0)]
        speed = 0.95 * np.sqrt(GRAVITY * BORE)
        found, velocity = found_in(one_hump(coefficient(speed, HEAD - 0.3), route))
        assert found.held == pytest.approx([0.1])
        assert found.humps == (("down, point 3: uncertain to clear",),)
        assert velocity == pytest.approx(speed * np.sqrt(0.7 / 0.5), rel=1e-4)

    def test_two_humps_hold_back_both_falls(self):
        assembly = one_hump(coefficient(0.2, HEAD - 0.35), points(0.5, 0.1, 0.3, 0.2, 0.25, 0.0))
        found, velocity = found_in(assembly)
        assert found.held == pytest.approx([0.35])
        told = ("down, point 3: uncertain to clear", "down, point 5: uncertain to clear")
        assert found.humps == (told,)
        assert velocity == pytest.approx([0.2], rel=1e-4)

    def test_each_attitude_has_its_own(self):
        # Level the line falls all the way; 0.1 rad nose-up its aft end at station 3 sinks by 0.2 m
        # and the forward end is a hump. All lengths by rotation: height z cos - x sin (aft down).
        route = [Point(1.0, 0, 0.3), Point(3.0, 0, 0.2), Point(1.0, 0, 0.15), Point(3.0, 0, 0.0)]
        assembly = one_hump(coefficient(0.2, 0.5), route)
        pitch = 0.1
        heights = [point[2] * np.cos(pitch) - point[0] * np.sin(pitch) for point in route]
        fall = heights[2] - heights[3]
        found, velocity = found_in(assembly, (0.0, pitch, 0.0, pitch))
        assert found.held == pytest.approx([0.0, fall, 0.0, fall])
        told = ("down, point 3: uncertain to clear",)
        assert found.humps == ((), told, (), told)
        head = HEAD * np.cos(pitch) - np.sin(pitch) - heights[3]
        expected = 0.2 * np.sqrt(np.array([HEAD, head - fall]) / 0.5)
        assert velocity == pytest.approx(np.tile(expected, 2), rel=1e-4)


class TestTwoBores:
    @staticmethod
    def two_lines(upper: float, lower: float, velocity: float) -> Assembly:
        """Give a hump whose leg goes on in a second line; ``velocity`` in the narrow one."""
        lines = [
            run("upper", "tank.out", "middle", points(0.5, 0.1, 0.3, 0.2), tube(1e-9, upper)),
            run("lower", "middle", "engine", points(0.2, 0.0), tube(1e-9, lower),
                loss(coefficient(velocity, 0.5)), bore=WIDE),
        ]  # fmt: skip
        return assemble(
            plain(
                [reservoir("tank", HEAD, {"out": Point(1.0, 0.0, 0.5)})],
                lines,
                [Junction(name="middle", at=Point(1.0, 0.0, 0.2))],
            )
        )

    @pytest.mark.parametrize(("upper", "lower"), [(BORE, 0.012), (0.012, BORE)])
    def test_the_worst_leg_names_the_hump(self, upper, lower):
        # 0.2 m/s in the narrow bore is uncertain; 0.089 m/s in the wide one surely stays.
        assert viana(BORE) < 0.2 < WISNER
        assert viana(0.012) > 0.2 * (BORE / 0.012) ** 2
        found, velocity = found_in(self.two_lines(upper, lower, 0.2))
        assert found.held_head == pytest.approx(np.array([[0.1, 0.2, 0.0]]))
        assert found.held == pytest.approx([0.3])
        assert found.humps == (("upper, point 3: will not clear",),)
        assert velocity == pytest.approx([0.2], rel=1e-3)

    def test_a_leg_that_clears_does_not_hide_the_next(self):
        # 0.4 m/s clears the narrow leg; 0.178 m/s in the wide one behind it surely does not.
        found, velocity = found_in(self.two_lines(BORE, 0.012, 0.4))
        assert found.held_head == pytest.approx(np.array([[0.0, 0.2, 0.0]]))
        assert found.humps == (("upper, point 3: will not clear",),)
        assert velocity == pytest.approx([0.4 * np.sqrt(0.6 / 0.5)], rel=1e-3)

    def test_states_follow_the_bore_and_flow_of_each_leg(self):
        assembly = self.two_lines(BORE, 0.012, 0.2)
        legs = legs_of(assembly, situation(assembly))[0]
        assert [leg.link for leg in legs] == [0, 1]
        flow = np.array([0.4, -0.2 * (0.012 / BORE) ** 2 * 1.8, 0.0]) * AREA
        # 0.4 m/s clears the narrow leg; 0.36 m/s (whatever its sign) is below Wisner's 0.369 in the
        # wide one.
        states = leg_states(assembly, legs, flow, DENSITY)
        assert states == (HumpState.CLEARS, HumpState.UNCERTAIN)
        assert leg_states(assembly, legs, 0.0 * flow, DENSITY) == (HumpState.WILL_NOT_CLEAR,) * 2
        lighter = leg_states(assembly, legs[:1], np.full(3, 0.14 * AREA), 600.0)
        assert lighter == (HumpState.UNCERTAIN,)  # less dense: the bubble drifts slower

    def test_heads_of_legs_in_one_line_add_up(self):
        assembly = self.two_lines(BORE, 0.012, 0.2)
        legs = legs_of(assembly, situation(assembly))[0]
        held = held_heads(assembly, [(), legs, (legs[0], legs[0])])
        assert held == pytest.approx(np.array([[0, 0, 0], [0.1, 0.2, 0], [0.2, 0, 0]]))


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
        assert flow / AREA == pytest.approx([0.2 * np.sqrt(0.55 / 0.5)], rel=1e-4)

    def test_legs_behind_a_bare_outlet_or_a_shut_line_do_not_count(self):
        # An outlet just above the surface feeds nothing: its hump cannot hold the flow back.
        lines = [
            run("wet", "tank.low", "engine", points(0.5, 0.0), tube(1e-9), loss(1e8), bore=WIDE),
            run("dry", "tank.high", "engine", points(0.9, 0.1, 0.3, 0.0), tube(1e-9), loss(1e8)),
        ]
        outlets = {"low": Point(1.0, 0.0, 0.5), "high": Point(1.0, 0.0, 0.9)}
        assembly = assemble(plain([reservoir("tank", HEAD, outlets)], lines))
        here = situation(assembly)
        assert here.uncovered.tolist() == [[False, True]]
        assert legs_of(assembly, here) == [()]
        assert found_in(assembly)[0].held.tolist() == [0.0]

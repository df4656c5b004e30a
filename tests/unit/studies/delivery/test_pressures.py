"""Pressures at the required flow by Bernoulli's equation on lines with square losses.

Worked in each test with the heights of the line's points; no published case.
"""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.network.assembly import assemble
from flowsim.network.conditions import nominal_factors
from flowsim.network.scenarios import CARBURETTOR, OPEN_LINE, situate
from flowsim.physics.air.atmosphere import dynamic_pressure, standard_pressure
from flowsim.studies.delivery.pressures import (
    RequiredFlowState,
    at_drawn_flow,
    at_required_flow,
)
from flowsim.system.engine import Carburettor
from flowsim.system.lines import Junction, Line
from flowsim.system.points import Point
from tests.support.plain_systems import (
    AREA,
    BORE,
    DARCY,
    DENSITY,
    GRAVITY,
    VAPOUR,
    loss,
    plain,
    reservoir,
    run,
    situation,
    tube,
)

WEIGHT = DENSITY * GRAVITY
SURFACE = 0.8
SPEED = 1.0
"""[m/s] Reynolds number 13 000: the jet at the open end loses one velocity head."""
FLOW = SPEED * AREA
REQUIRED = FLOW * DENSITY
KINETIC = SPEED**2 / (2 * GRAVITY)
SEA_LEVEL = 101325.0
"""[Pa] ISO 2533, standard atmosphere at sea level."""


def points(*heights: float) -> list[Point]:
    return [Point(1.0, 0.0, height) for height in heights]


ROUTE = points(0.5, 0.7, 0.1, 0.2)
"""Up 0.2 m, down 0.6 m, up 0.1 m to the inlet: 0.9 m in all."""
LUMPED = 0.05
"""[m] lost in a part whose place is not known, at the required flow."""
FRICTION = DARCY * 0.9 / BORE * KINETIC


def line(*, backwards: bool = False) -> Line:
    parts = (tube(0.9), loss(LUMPED / FLOW**2))
    if backwards:
        return run("feed", "engine", "tank.out", ROUTE[::-1], *parts)
    return run("feed", "tank.out", "engine", ROUTE, *parts)


def state_of(
    feed: Line | None = None, required: float = REQUIRED, coefficient: float = 0.0, **given
) -> RequiredFlowState:
    tank = reservoir("tank", SURFACE, {"out": ROUTE[0]}, pressure_coefficient=coefficient)
    engine = given.pop("engine", {})
    assembly = assemble(plain([tank], [feed or line()], engine=engine))
    here = situation(assembly, **given)
    return at_required_flow(assembly, here, np.full(here.scenarios.count, required))


class TestOneLine:
    @pytest.mark.parametrize("backwards", [False, True])
    def test_the_inlet_has_what_the_losses_leave(self, backwards):
        state = state_of(line(backwards=backwards))
        left = SURFACE - 0.2 - LUMPED - FRICTION
        assert state.inlet_pressure == pytest.approx([WEIGHT * (left - KINETIC)], rel=1e-6)
        # The open end needs its velocity head.
        assert state.head_left == pytest.approx([left - KINETIC], rel=1e-6)

    @pytest.mark.parametrize("backwards", [False, True])
    def test_the_lowest_pressure_is_at_the_top_of_the_hump(self, backwards):
        # Static head at 0.7 m, 2/9 of the way down the line, all that is lumped lost before it;
        # the tank's own surface (gauge pressure 0) is not lower.
        state = state_of(line(backwards=backwards))
        top = SURFACE - LUMPED - FRICTION * 2 / 9 - 0.7 - KINETIC
        assert top < 0
        assert state.vapour_margin == pytest.approx([SEA_LEVEL + WEIGHT * top - VAPOUR], rel=1e-6)
        assert state.tank_margin == pytest.approx([WEIGHT * top], rel=1e-6)

    def test_at_the_tanks_own_outlet_no_pressure_is_compared_with_its_air(self):
        # A line that only falls: its first point has the lowest pressure, but it is the tank's own;
        # the margin is that of the next point.
        route = points(0.79, 0.5, 0.2)
        feed = run("feed", "tank.out", "engine", route, tube(0.59))
        tank = reservoir("tank", SURFACE, {"out": route[0]})
        assembly = assemble(plain([tank], [feed]))
        state = at_required_flow(assembly, situation(assembly), np.array([REQUIRED]))
        friction = DARCY * 0.59 / BORE * KINETIC
        middle = SURFACE - friction * 29 / 59 - 0.5 - KINETIC
        end = SURFACE - friction - 0.2 - KINETIC
        assert state.tank_margin == pytest.approx([WEIGHT * min(middle, end)], rel=1e-6)
        first = SURFACE - 0.79 - KINETIC
        assert first < min(middle, end, 0.0)
        assert state.vapour_margin == pytest.approx([SEA_LEVEL + WEIGHT * first - VAPOUR], rel=1e-6)

    def test_a_point_at_the_outlet_itself_is_the_tanks_own_too(self):
        state = state_of(run("feed", "tank.out", "engine", points(0.5, 0.5, 0.1), tube(0.4)))
        end = SURFACE - DARCY * 0.4 / BORE * KINETIC - 0.1 - KINETIC
        assert state.tank_margin == pytest.approx([WEIGHT * end], rel=1e-6)
        assert end > SURFACE - 0.5 * DARCY * 0.4 / BORE * KINETIC - 0.5 - KINETIC

    def test_pressure_that_stays_positive_counts_as_the_tanks_air(self):
        # Deep under the surface all along: nowhere lower than ambient.
        route = points(0.2, 0.1, 0.0)
        feed = run("feed", "tank.out", "engine", route, tube(0.2))
        assembly = assemble(plain([reservoir("tank", SURFACE, {"out": route[0]})], [feed]))
        state = at_required_flow(assembly, situation(assembly), np.array([REQUIRED]))
        assert state.vapour_margin == pytest.approx([SEA_LEVEL - VAPOUR], rel=1e-9)
        assert state.tank_margin[0] > 0

    @pytest.mark.parametrize("coefficient", [-0.5, 0.5])
    def test_each_scenario_has_its_own_tank_pressure(self, coefficient):
        # On the ground and at 40 m/s. Deep under the surface: the tank's air is the lowest of all.
        route = points(0.2, 0.1, 0.0)
        feed = run("feed", "tank.out", "engine", route, tube(0.2))
        tank = reservoir("tank", 2.0, {"out": route[0]}, pressure_coefficient=coefficient)
        assembly = assemble(plain([tank], [feed]))
        here = situation(assembly, (0.0, 0.0), airspeed=[0.0, 40.0])
        state = at_required_flow(assembly, here, np.full(2, REQUIRED))
        extra = np.array([0.0, coefficient * float(dynamic_pressure(40.0, 0.0))])
        assert state.vapour_margin == pytest.approx(SEA_LEVEL + extra - VAPOUR, rel=1e-9)
        friction = DARCY * 0.1 / BORE * KINETIC
        middle, end = 1.9 - friction - KINETIC, 2.0 - 2 * friction - KINETIC
        assert state.tank_margin == pytest.approx(WEIGHT * min(middle, end) * np.ones(2), rel=1e-6)

    def test_points_in_one_place_at_either_end_of_a_line_do_not_hide_its_length(self):
        route = points(0.5, 0.5, 0.7, 0.7, 0.2, 0.2)
        feed = run("feed", "tank.out", "engine", route, tube(0.7))
        state = state_of(feed)
        top = SURFACE - DARCY * 0.7 / BORE * KINETIC * 2 / 7 - 0.7 - KINETIC
        assert state.tank_margin == pytest.approx([WEIGHT * top], rel=1e-6)

    def test_a_line_without_length_shares_its_loss_evenly(self):
        # Three points in one place: 0, 1/2 and all of the friction. The last is the lowest.
        place = points(0.5, 0.5, 0.5)
        tank = reservoir("tank", 0.55, {"out": place[0]})
        for ends in (("tank.out", "engine"), ("engine", "tank.out")):
            assembly = assemble(plain([tank], [run("feed", *ends, place, tube(0.9))]))
            state = at_required_flow(assembly, situation(assembly), np.array([REQUIRED]))
            lowest = WEIGHT * (0.05 - FRICTION - KINETIC)
            assert state.tank_margin == pytest.approx([lowest], rel=1e-6)

    def test_each_scenario_has_its_own_flow_and_height(self):
        # Nose-up by p every height at one station is cos p of itself, less sin p of that station.
        tank = reservoir("tank", SURFACE, {"out": ROUTE[0]})
        assembly = assemble(plain([tank], [line()]))
        pitch, speed = np.array([0.0, 0.2, 0.2]), np.array([1.0, 1.0, 0.8])
        here = situation(assembly, pitch, altitude=np.array([0.0, 2000.0, 0.0]))
        state = at_required_flow(assembly, here, speed * REQUIRED)
        lost = (LUMPED + FRICTION + KINETIC) * speed**2
        assert state.head_left == pytest.approx(0.6 * np.cos(pitch) - lost, rel=1e-6)
        top = 0.1 * np.cos(pitch) - (LUMPED + FRICTION * 2 / 9 + KINETIC) * speed**2
        assert state.inlet_pressure == pytest.approx(WEIGHT * state.head_left, rel=1e-6)
        assert state.tank_margin == pytest.approx(WEIGHT * top, rel=1e-6)
        assert state.situation.conditions.demand.sum(axis=1) == pytest.approx(speed * FLOW)
        lowest = WEIGHT * np.minimum(top, 0.0)
        ambient = np.array([SEA_LEVEL, float(standard_pressure(2000.0)), SEA_LEVEL])
        assert state.vapour_margin == pytest.approx(ambient + lowest - VAPOUR, rel=1e-6)

    def test_the_tanks_pressure_pushes_but_is_no_margin_over_itself(self):
        # 40 m/s and a coefficient of 0.5 at sea level: 490 Pa (1.225 kg/m3, ISO 2533).
        pressure = 0.5 * float(dynamic_pressure(40.0, 0.0))
        assert pressure == pytest.approx(490.0, abs=0.1)
        still = state_of()
        state = state_of(coefficient=0.5, airspeed=[40.0])
        assert state.inlet_pressure - still.inlet_pressure == pytest.approx([pressure], rel=1e-6)
        assert state.vapour_margin - still.vapour_margin == pytest.approx([pressure], rel=1e-6)
        assert state.tank_margin == pytest.approx(still.tank_margin, rel=1e-6)

    def test_a_head_that_cannot_be_supplied_is_negative_and_not_hidden(self):
        state = state_of(required=4.0 * REQUIRED)
        lost = 16.0 * (LUMPED + FRICTION + KINETIC)
        assert state.head_left == pytest.approx([0.6 - lost], rel=1e-6)
        assert state.head_left[0] < 0

    def test_a_flow_that_has_no_way_gives_no_number(self):
        state = state_of(replace(line(), closed=True))
        for values in (state.head_left, state.vapour_margin, state.tank_margin):
            assert np.isnan(values).all()
        assert not state.solution.supplied.any()


class TestEnds:
    def test_a_float_bowl_needs_its_level_its_air_and_its_seat(self):
        # Needle and seat lose 0.04 m at the required flow; the bowl is 30 mm over the inlet,
        # its air 100 Pa over ambient.
        bowl = Carburettor(
            parts=(loss(0.04 / FLOW**2),), float_level=Point(1.0, 0.0, 0.23), bowl_pressure=100.0
        )
        state = state_of(
            engine={"carburettor": bowl},
            pitch=[0.0, 0.0],
            end=np.array([OPEN_LINE, CARBURETTOR]),
        )
        left = SURFACE - LUMPED - FRICTION
        expected = [left - 0.2 - KINETIC, left - 0.23 - 100.0 / WEIGHT - 0.04]
        assert state.head_left == pytest.approx(expected, rel=1e-6)
        assert state.inlet_pressure[0] == pytest.approx(state.inlet_pressure[1])

    def test_the_bowl_is_found_behind_any_number_of_nodes(self):
        middle, end = Point(1.0, 0.0, 0.3), Point(1.0, 0.0, 0.2)
        lines = [
            run("upper", "tank.out", "middle", [ROUTE[0], middle], loss(LUMPED / FLOW**2)),
            run("lower", "middle", "engine", [middle, end], loss(LUMPED / FLOW**2)),
        ]
        bowl = Carburettor(parts=(), float_level=Point(1.0, 0.0, 0.23))
        tank = reservoir("tank", SURFACE, {"out": ROUTE[0]})
        nodes = [Junction(name="middle", at=middle)]
        assembly = assemble(plain([tank], lines, nodes, engine={"carburettor": bowl}))
        here = situation(assembly, end=np.array([CARBURETTOR]))
        state = at_required_flow(assembly, here, np.array([REQUIRED]))
        # Nothing takes up the jet on its way into the bowl but the bowl itself.
        expected = SURFACE - 2 * LUMPED - 0.23 - KINETIC
        assert state.head_left == pytest.approx([expected], rel=1e-6)

    def test_a_least_inlet_pressure_is_asked_for_besides_the_velocity_head(self):
        maker = Carburettor(parts=(), float_level=None, least_inlet_pressure=700.0)
        state = state_of(engine={"carburettor": maker}, end=np.array([CARBURETTOR]))
        left = SURFACE - 0.2 - LUMPED - FRICTION - KINETIC
        assert state.head_left == pytest.approx([left - 700.0 / WEIGHT], rel=1e-6)


class TestStandingColumn:
    @staticmethod
    def wye(heights: tuple[float, ...], closed: bool = False):
        """Give a low outlet that feeds, and uncovered ones over the same junction at 0.3 m."""
        middle = Point(1.0, 0.0, 0.3)
        outlets = {"low": Point(1.0, 0.0, 0.5)}
        lines = [
            run("low", "tank.low", "middle", [outlets["low"], middle], tube(0.2)),
            run("feed", "middle", "engine", [middle, Point(1.0, 0.0, 0.0)], tube(0.3)),
        ]
        for number, height in enumerate(heights):
            at = outlets[f"high{number}"] = Point(1.0, 0.0, height)
            dry = run(f"dry{number}", f"tank.high{number}", "middle", [at, middle], tube(0.6))
            lines.append(replace(dry, closed=closed))
        nodes = [Junction(name="middle", at=middle)]
        assembly = assemble(plain([reservoir("tank", SURFACE, outlets)], lines, nodes))
        state = at_required_flow(assembly, situation(assembly), np.array([REQUIRED]))
        return assembly, state

    def test_fuel_stands_in_a_bare_leg_as_high_as_the_junction_is_pressed(self):
        friction = DARCY * 0.2 / BORE * KINETIC
        for heights in ((0.9,), (0.9, 0.95)):
            _, state = self.wye(heights)
            assert state.air_margin == pytest.approx([0.5 - friction - KINETIC], rel=1e-6)

    def test_without_a_bare_leg_there_is_no_column(self):
        assert np.isnan(self.wye((0.7,))[1].air_margin).all()
        assert np.isnan(self.wye((0.9,), closed=True)[1].air_margin).all()

    def test_a_leg_that_stands_still_has_no_pressure_of_its_own(self):
        # The dry leg goes up to 0.9 m: fuel does not stand there, so nothing is low there.
        _, state = self.wye((0.9,))
        junction = 0.5 - DARCY * 0.2 / BORE * KINETIC - KINETIC
        end = SURFACE - DARCY * 0.5 / BORE * KINETIC - KINETIC
        assert state.tank_margin == pytest.approx([WEIGHT * min(junction, end)], rel=1e-6)
        assert state.vapour_margin == pytest.approx([SEA_LEVEL - VAPOUR], rel=1e-9)

    def test_two_tanks_are_held_against_the_higher_of_their_airs(self):
        # Tank b has 245 Pa (40 m/s, coefficient 0.25), tank a none; both feed one junction.
        middle = Point(1.0, 0.0, 0.3)
        at = Point(1.0, 0.0, 0.5)
        tanks = [
            reservoir("a", SURFACE, {"out": at}),
            reservoir("b", SURFACE, {"out": at}, pressure_coefficient=0.25),
        ]
        lines = [
            run("a", "a.out", "middle", [at, middle], tube(0.2)),
            run("b", "b.out", "middle", [at, middle], tube(0.2)),
            run("feed", "middle", "engine", [middle, Point(1.0, 0.0, 0.25)], tube(0.05)),
        ]
        assembly = assemble(plain(tanks, lines, [Junction(name="middle", at=middle)]))
        here = situation(assembly, airspeed=[40.0])
        state = at_required_flow(assembly, here, np.array([REQUIRED]))
        extra = 0.25 * float(dynamic_pressure(40.0, 0.0))
        head = float(state.solution.head[0, assembly.node_index["middle"]])
        own = np.abs(state.solution.flow[0, :2]) / AREA
        assert own.sum() == pytest.approx(SPEED)
        assert own[1] > own[0] > 0
        friction = DARCY * 0.05 / BORE * KINETIC
        # Just behind the junction, at the whole speed; friction and fall come after it.
        lowest = min(head - 0.3 - KINETIC, head - friction - 0.25 - KINETIC)
        assert state.tank_margin == pytest.approx([WEIGHT * lowest - extra], rel=1e-6)
        assert state.vapour_margin == pytest.approx([SEA_LEVEL - VAPOUR], rel=1e-9)


class TestInDraws:
    """Factors on the laws act on what is lost before the inlet and on what its end needs."""

    @pytest.mark.parametrize("end", [OPEN_LINE, CARBURETTOR])
    def test_factors_scale_what_is_lost(self, end):
        seat = loss(0.03 / FLOW**2)
        bowl = Carburettor(parts=(seat,), float_level=Point(1.0, 0.0, 0.1))
        tank = reservoir("tank", SURFACE, {"out": ROUTE[0]})
        assembly = assemble(plain([tank], [line()], engine={"carburettor": bowl}))
        here = situation(assembly, end=np.full(3, end), pitch=(0.0, 0.0, 0.0))
        stated = nominal_factors(assembly.network)
        scale = np.array([[1.0], [1.3], [0.7]])
        factors = replace(
            stated,
            loss=scale * stated.loss,
            laminar=scale * stated.laminar,
            bore=np.tile(stated.bore, (3, 1)),
            friction=scale[:, 0] * stated.friction,
        )
        drawn = at_drawn_flow(assembly, here, np.full(3, REQUIRED), factors=factors)
        plainly = at_drawn_flow(assembly, here, np.full(3, REQUIRED))
        height = 0.1 if end == CARBURETTOR else 0.2
        all_lost = SURFACE - height - plainly.head_left[0]
        assert plainly.head_left == pytest.approx(np.full(3, plainly.head_left[0]))
        assert all_lost > LUMPED + FRICTION
        expected = SURFACE - height - scale[:, 0] * all_lost
        assert drawn.head_left == pytest.approx(expected, rel=1e-9)

    def test_raised_surfaces_raise_head_and_cover_alike(self):
        tank = reservoir("tank", SURFACE, {"out": ROUTE[0]})
        assembly = assemble(plain([tank], [line()]))
        here = situation(assembly, pitch=(0.0, 0.0))
        raised = situate(assembly, here.scenarios, surfaces_raised=np.array([0.01, -0.02]))
        assert raised.cover - here.cover == pytest.approx(np.array([[0.01], [-0.02]]))
        before, after = (
            at_drawn_flow(assembly, state, np.full(2, REQUIRED)).head_left
            for state in (here, raised)
        )
        assert after - before == pytest.approx([0.01, -0.02])

"""Air at a tee goes by the tee's own legs: a narrow tee is caught, whichever line it sits in."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.network.assembly import Assembly, assemble
from flowsim.network.solver import solve
from flowsim.network.standing import rank, standing
from flowsim.physics.air.dips import LEAST_AIR_MARGIN, air_margin_least
from flowsim.physics.losses.fitting_catalogue import fitting
from flowsim.studies.adequacy.study import judge
from flowsim.studies.delivery.deliver import with_demand
from flowsim.studies.delivery.pressures import at_required_flow
from flowsim.studies.result import Verdict
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Junction, Selector, Tee
from flowsim.system.parts import Pipe
from flowsim.system.points import Point
from tests.support.plain_systems import (
    DENSITY,
    GRAVITY,
    loss,
    plain,
    reservoir,
    run,
    situation,
)

SURFACE, JUNCTION = 0.8, 0.3
REQUIRED = 2e-5
"""[m3/s] 72 L/h."""
MIDDLE = Point(1.0, 0.0, JUNCTION)


def pipe(bore: float, length: float = 0.1) -> Pipe:
    return Pipe(name="tube", length=length, bore=bore, roughness=1e-6, source="invented")


def wye(tee: float, line: float = 0.008, last: float | None = None, **given) -> FuelSystem:
    """A covered outlet and a bare one over a tee at 0.3 m; ``last`` is the bore of the feeding
    line's piece at the tee."""
    low, high, foot = Point(1.0, 0.0, 0.5), Point(1.0, 0.0, 0.9), Point(1.0, 0.0, 0.0)
    lines = [
        run("low", "tank.low", "tee", [low, MIDDLE], pipe(line), pipe(last or line, 0.02)),
        run("high", "tank.high", "tee", [high, MIDDLE], pipe(line)),
        run("feed", "tee", "engine", [MIDDLE, foot], pipe(0.012)),
    ]
    nodes = given.pop(
        "nodes",
        [Tee(name="tee", at=MIDDLE, run=("low", "feed"), branch="high", common="feed", bore=tee)],
    )
    tank = reservoir("tank", SURFACE, {"low": low, "high": high}, bore=line)
    burn = REQUIRED * DENSITY / 1.5
    return plain([tank], lines, nodes, engine={"burn": burn}, **given)


def velocity_head(bore: float, flow: float = REQUIRED) -> float:
    return (4 * flow / (np.pi * bore**2)) ** 2 / (2 * GRAVITY)


def found_in(system: FuelSystem):
    assembly = assemble(system)
    here = situation(assembly)
    state = at_required_flow(assembly, here, np.array([REQUIRED * DENSITY]))
    return assembly, state


def head_over(assembly: Assembly, state) -> float:
    """Total head over the tee [m]."""
    return float(state.solution.head[0, assembly.node_index["tee"]]) - JUNCTION


@pytest.mark.parametrize("tee", [0.008, 0.005, 0.004])
def test_the_velocity_head_is_that_of_the_tees_own_legs(tee):
    assembly, state = found_in(wye(tee))
    expected = head_over(assembly, state) - velocity_head(tee)
    assert state.air_margin == pytest.approx([expected], rel=1e-9)
    wanted = max(LEAST_AIR_MARGIN, 0.012, velocity_head(tee))  # the feed's bore is the widest there
    assert state.air_least == pytest.approx([wanted], rel=1e-9)


def test_the_last_piece_that_is_screwed_to_the_tee_counts_as_well():
    assembly, state = found_in(wye(0.008, last=0.004))
    expected = head_over(assembly, state) - velocity_head(0.004)
    assert state.air_margin == pytest.approx([expected], rel=1e-9)
    assert state.air_least == pytest.approx([max(0.012, velocity_head(0.004))], rel=1e-9)


def test_a_narrow_tee_is_caught_by_the_judgement():
    """The same lines: the wide tee is fine, at the narrow one air is drawn or may be."""
    verdicts = {}
    for tee in (0.008, 0.0036, 0.0034):
        (line, *_) = judge(wye(tee), nominal=True).lines
        verdicts[tee] = line.verdict
    assert verdicts[0.008] is Verdict.ADEQUATE
    assert verdicts[0.0036] is Verdict.CANNOT_TELL
    assert verdicts[0.0034] is Verdict.NOT_ADEQUATE


def test_a_narrower_tee_never_stands_higher():
    heights = [float(found_in(wye(tee))[1].air_margin[0]) for tee in np.linspace(0.009, 0.0035, 30)]
    assert (np.diff(heights) < 0).all()


@pytest.mark.parametrize("bore", [0.006, 0.004])
def test_a_selector_counts_by_its_port(bore):
    selector = Selector(
        name="tee", at=MIDDLE, ports={"low": "low", "high": "high"}, outlet="feed",
        positions={"both": ("low", "high")}, judged=("both",), loss=fitting("selector", bore),
    )  # fmt: skip
    assembly, state = found_in(wye(0.008, nodes=[selector]))
    expected = head_over(assembly, state) - velocity_head(bore)
    assert state.air_margin == pytest.approx([expected], rel=1e-9)


def test_a_plain_junction_goes_by_the_ends_of_the_lines():
    assembly, state = found_in(wye(0.001, nodes=[Junction(name="tee", at=MIDDLE)]))
    expected = head_over(assembly, state) - velocity_head(0.008)
    assert state.air_margin == pytest.approx([expected], rel=1e-9)


def test_of_several_bare_legs_the_one_that_lacks_most_is_told():
    """Not the lowest column: what each junction wants differs. Below zero comes first."""
    height = np.array([[0.010, 0.014], [0.010, -0.001], [-0.002, -0.001], [np.nan, 0.02]])
    least = np.array([[0.008, 0.020], [0.030, 0.005], [0.005, 0.050], [np.nan, 0.005]])
    assert np.nanargmin(rank(height, least), axis=1).tolist() == [1, 1, 0, 1]


def test_the_function_that_is_tested_is_the_one_that_judges(monkeypatch):
    """``physics.air.air_margin_least`` and nothing beside it says what is wanted."""
    monkeypatch.setattr(
        "flowsim.network.standing.air_margin_least", lambda bore, flow: np.full(np.shape(flow), 9.0)
    )
    _, state = found_in(wye(0.008))
    assert state.air_least.tolist() == [9.0]
    assert float(air_margin_least(0.008, 1e-6)) == 0.008


def test_two_junctions_each_want_their_own():
    """Wide tee close under the surface, narrow tee deep below: which is worse turns with flow."""
    upper, lower = Point(1.0, 0.0, 0.7), Point(1.0, 0.0, 0.3)
    feed_at, foot = Point(1.0, 0.0, 0.75), Point(1.0, 0.0, 0.0)
    bare = {"a": Point(1.0, 0.0, 0.9), "b": Point(1.0, 0.0, 0.95)}
    lines = [
        run("main", "tank.out", "upper", [feed_at, upper], pipe(0.010)),
        run("a", "tank.a", "upper", [bare["a"], upper], pipe(0.010)),
        run("middle", "upper", "lower", [upper, lower], pipe(0.010)),
        run("b", "tank.b", "lower", [bare["b"], lower], pipe(0.010)),
        run("feed", "lower", "engine", [lower, foot], pipe(0.010), loss(1e6)),
    ]
    nodes = [
        Tee(name="upper", at=upper, run=("main", "middle"), branch="a", common="middle",
            bore=0.010),
        Tee(name="lower", at=lower, run=("middle", "feed"), branch="b", common="feed",
            bore=0.0045),
    ]  # fmt: skip
    tank = reservoir("tank", SURFACE, {"out": feed_at, **bare}, bore=0.010)
    assembly = assemble(plain([tank], lines, nodes))
    here = situation(assembly)
    drawn = with_demand(assembly, here, np.array([REQUIRED]))
    found = standing(assembly, drawn, solve(assembly.network, drawn.conditions))
    wants = [
        max(LEAST_AIR_MARGIN, 0.010, velocity_head(0.010)),
        max(LEAST_AIR_MARGIN, 0.010, velocity_head(0.0045)),
    ]
    assert found.least[0, 1:] == pytest.approx(wants, rel=1e-9)
    assert found.height[0, 1] < 0.1 < found.height[0, 2]
    assert np.isnan(found.height[0, 0])


class TestLowestPressure:
    @staticmethod
    def with_piece(bore: float, at: int, backwards: bool = False) -> FuelSystem:
        """A line up over a hump at 0.7 m; a piece of 10 mm with another bore behind part ``at``."""
        route = [Point(1.0, 0.0, z) for z in (0.5, 0.7, 0.1, 0.2)]
        parts = [pipe(0.009, 0.2), pipe(0.009, 0.6), pipe(0.009, 0.1)]
        parts.insert(at, pipe(bore, 0.01))
        if backwards:
            line = run("line", "engine", "tank.out", route[::-1], *parts[::-1], bore=0.009)
        else:
            line = run("line", "tank.out", "engine", route, *parts, bore=0.009)
        tank = reservoir("tank", SURFACE, {"out": route[0]}, bore=0.009)
        return plain([tank], [line])

    def least(self, system: FuelSystem) -> float:
        assembly = assemble(system)
        state = at_required_flow(assembly, situation(assembly), np.array([REQUIRED * DENSITY]))
        return float(state.tank_margin[0]) / (DENSITY * GRAVITY)

    def test_a_narrow_piece_at_the_high_point_has_its_own_velocity_head(self):
        even, narrow = self.least(self.with_piece(0.009, 1)), self.least(self.with_piece(0.003, 1))
        assert even - narrow > 0.9 * (velocity_head(0.003) - velocity_head(0.009))

    def test_whichever_way_the_line_is_written(self):
        for bore in (0.003, 0.009):
            for at in (0, 1, 2, 3):
                there = self.least(self.with_piece(bore, at))
                back = self.least(self.with_piece(bore, at, backwards=True))
                assert back == pytest.approx(there, rel=1e-9)

    def test_a_narrower_piece_anywhere_never_raises_it(self):
        for at in (0, 1, 2, 3):
            found = [self.least(self.with_piece(bore, at)) for bore in (0.009, 0.007, 0.005, 0.003)]
            assert (np.diff(found) < 1e-12).all()

    def test_the_pressure_at_the_inlet_is_that_of_the_last_piece(self):
        """Static: what is left over, less the velocity head of the bore that ends there."""
        for bore in (0.009, 0.005):
            system = self.with_piece(bore, 3)
            assembly = assemble(system)
            state = at_required_flow(assembly, situation(assembly), np.array([REQUIRED * DENSITY]))
            head = float(state.solution.head[0, assembly.inlet]) - 0.2
            expected = DENSITY * GRAVITY * (head - velocity_head(bore))
            assert state.inlet_pressure == pytest.approx([expected], rel=1e-9)


def test_a_narrow_tee_is_caught_when_its_line_is_written_from_the_engine():
    system = wye(0.0042)
    turned = tuple(
        replace(
            line, start=line.end, end=line.start, parts=line.parts[::-1], route=line.route[::-1]
        )
        for line in system.lines
    )
    _, there = found_in(system)
    _, back = found_in(replace(system, lines=turned))
    assert back.air_margin == pytest.approx(there.air_margin, rel=1e-9)
    assert back.air_least == pytest.approx(there.air_least, rel=1e-9)

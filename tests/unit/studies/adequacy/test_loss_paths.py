"""Every row of a loss path against the law of its part, worked by hand from the row's own flow.

Laws: K velocity heads (any hydraulics text); flow coefficient of IEC 60534-1, Kv in m3/h at 1 bar
of water; orifice Q = Cd A sqrt(2 dp/rho) with H. E. Merritt's laminar term (25/Re, from memory).
"""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.document.words.telling import told
from flowsim.network.assembly import assemble
from flowsim.network.scenarios import CARBURETTOR, DEMAND, OPEN_LINE
from flowsim.network.solver import solve
from flowsim.physics.air.atmosphere import dynamic_pressure
from flowsim.physics.losses.friction import darcy_factor
from flowsim.studies.adequacy.loss_paths import loss_paths_of
from flowsim.studies.result import LossPath, LossRow
from flowsim.system.calibration import Calibration, PartFactors
from flowsim.system.engine import Carburettor
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Junction, Line, Selector
from flowsim.system.parts import (
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    OneWayValve,
    Orifice,
    Part,
    Pipe,
    Screen,
)
from flowsim.system.points import Point
from tests.support.plain_systems import (
    AREA,
    BORE,
    DARCY,
    DENSITY,
    GRAVITY,
    VISCOSITY,
    loss,
    plain,
    reservoir,
    run,
    situation,
    tube,
)

WEIGHT = DENSITY * GRAVITY
SURFACE = 2.0
ROUTE = (Point(1.0, 0.0, 0.5), Point(1.0, 0.0, 0.0))
HOSE = Pipe(name="hose", length=0.4, bore=BORE, roughness=2e-6, source="a measurement")
ELBOWS = MinorLoss(
    name="elbows", kind="stated", bore=0.007, k_inf=0.5, k_laminar=300.0, count=2, source="a table"
)
METER = FlowCoefficient(name="meter", kind="meter", bore=0.006, kv=1.2, k_laminar=100.0)
SEAT = Orifice(name="seat", kind="needle and seat", bore=0.005, discharge_coefficient=0.65)
VALVE = OneWayValve(name="flap", bore=0.009, cracking_pressure=200.0, kv=1.5)
STRAINER = Screen(
    name="strainer",
    area=0.001,
    wires_per_metre=2000.0,
    wire_diameter=1e-4,
    clear_fraction=0.8,
    source="its maker",
)
TABLE = MeasuredDrop(
    name="filter",
    kind="filter",
    bore=BORE,
    flows=(1e-5, 1e-4),
    drops=(10.0, 1000.0),
    density=DENSITY,
)
PARTS: tuple[Part, ...] = (tube(0.5), HOSE, ELBOWS, METER, SEAT, STRAINER, TABLE, loss(1e6))


def feed(*parts: Part, backwards: bool = False) -> Line:
    if backwards:
        return run("feed", "engine", "tank.out", ROUTE[::-1], *parts[::-1])
    return run("feed", "tank.out", "engine", ROUTE, *parts)


def one_line(line: Line, mouth: float = 30.0, **given) -> FuelSystem:
    coefficient = given.pop("coefficient", 0.0)
    tank = reservoir(
        "tank", SURFACE, {"out": ROUTE[0]}, pressure_coefficient=coefficient, mouth=mouth
    )
    return plain([tank], [line], **given)


def paths(system: FuelSystem, row: int = 0, **given) -> tuple[LossPath, ...]:
    assembly = assemble(system)
    here = situation(assembly, **given)
    return loss_paths_of(assembly, here, solve(assembly.network, here.conditions), row)


def row_of(path: LossPath, part: str) -> LossRow:
    (row,) = (row for row in path.rows if row.part == part)
    return row


def velocity_head(flow: float, bore: float) -> float:
    return (4 * flow / (np.pi * bore**2)) ** 2 / (2 * GRAVITY)


def of_kv(flow: float, kv: float) -> float:
    """Head [m] by IEC 60534-1; water of 15 degC, 999.1 kg/m3."""
    return 1e5 * (3600 * flow / kv) ** 2 / (999.1 * GRAVITY)


@pytest.fixture(scope="module")
def path() -> LossPath:
    (only,) = paths(one_line(feed(*PARTS, VALVE)))
    return only


class TestRows:
    def test_they_come_in_the_order_in_which_fuel_meets_them(self, path):
        names = [part.name for part in (*PARTS, VALVE)]
        # The elbows are narrower than the hose: in and, from the last of them, out again.
        narrow = names.index("elbows")
        names[narrow : narrow + 1] = ["step of bore 8 to 7 mm", "elbows"]
        last = ["open end (kinetic energy)"]
        assert [row.part for row in path.rows] == ["mouth out", *names, *last]
        assert [row.line for row in path.rows] == ["feed"] * 11 + ["open end"]

    def test_they_add_up_to_the_head(self, path):
        assert path.available == pytest.approx(SURFACE, rel=1e-12)
        assert sum(row.loss for row in path.rows) == pytest.approx(SURFACE, rel=1e-8)
        assert path.closure == pytest.approx(
            SURFACE - sum(row.loss for row in path.rows), abs=1e-15
        )
        assert [row.share * SURFACE for row in path.rows] == pytest.approx(
            [row.loss for row in path.rows]
        )

    def test_flow_velocity_and_reynolds_number_are_on_the_parts_own_bore(self, path):
        flow = path.rows[0].flow
        for name, bore in (("hose", BORE), ("elbows", 0.007), ("seat", 0.005), ("flap", 0.009)):
            row = row_of(path, name)
            speed = 4 * flow / (np.pi * bore**2)
            assert row.flow == flow > 0
            assert row.bore == bore
            assert row.velocity == pytest.approx(speed)
            assert row.reynolds == pytest.approx(speed * bore / VISCOSITY)
            assert row.coefficient == pytest.approx(
                row.loss / velocity_head(flow, bore) * (BORE / 0.4 if name == "hose" else 1.0)
            )
            terms = dict(row.terms)
            assert terms["kinematic_viscosity"] == VISCOSITY
            assert terms["share_of_part"] == 1.0

    def test_a_pipe_of_fixed_factor(self, path):
        row = row_of(path, "tube")
        assert row.loss == pytest.approx(DARCY * 0.5 / BORE * velocity_head(row.flow, BORE))
        assert row.coefficient == pytest.approx(DARCY)
        assert row.law == "fixed friction factor"
        assert row.source == "invented"
        terms = dict(row.terms)
        assert terms["length"] == 0.5
        assert terms["roughness"] == 0.0
        assert terms["darcy_factor"] == DARCY
        assert terms["ground_test_factor"] == 1.0
        assert terms["quadratic"] * row.flow**2 == pytest.approx(row.loss)

    def test_a_pipe_by_the_law_of_friction(self, path):
        row = row_of(path, "hose")
        factor = float(darcy_factor(np.array(row.reynolds), np.array(2e-6 / BORE)))
        assert row.loss == pytest.approx(factor * 0.4 / BORE * velocity_head(row.flow, BORE))
        terms = dict(row.terms)
        assert terms["darcy_factor"] == pytest.approx(factor)
        assert row.coefficient == pytest.approx(factor)
        assert terms["length"] == 0.4
        assert terms["roughness"] == 2e-6
        assert row.law == "friction, turbulent"

    def test_fittings(self, path):
        row = row_of(path, "elbows")
        k = 2 * (0.5 + 300.0 / row.reynolds)
        assert row.coefficient == pytest.approx(k)
        assert row.loss == pytest.approx(k * velocity_head(row.flow, 0.007))
        terms = dict(row.terms)
        assert (terms["k_inf"], terms["k_laminar"], terms["count"]) == (0.5, 300.0, 2.0)
        assert "ground_test_factor" not in terms
        parts = terms["quadratic"] * row.flow**2 + terms["linear"] * VISCOSITY * row.flow
        assert parts == pytest.approx(row.loss)

    def test_a_meter_by_its_flow_coefficient(self, path):
        row = row_of(path, "meter")
        laminar = 100.0 / row.reynolds * velocity_head(row.flow, 0.006)
        assert row.loss == pytest.approx(of_kv(row.flow, 1.2) + laminar)
        terms = dict(row.terms)
        assert (terms["kv"], terms["k_laminar"], terms["ground_test_factor"]) == (1.2, 100.0, 1.0)

    def test_an_orifice(self, path):
        row = row_of(path, "seat")
        k = 0.65**-2 + 25.0 / row.reynolds
        assert row.loss == pytest.approx(k * velocity_head(row.flow, 0.005))
        terms = dict(row.terms)
        assert terms["discharge_coefficient"] == 0.65
        assert terms["ground_test_factor"] == 1.0

    def test_a_one_way_valve_keeps_its_cracking_pressure(self, path):
        row = row_of(path, "flap")
        assert row.loss == pytest.approx(of_kv(row.flow, 1.5) + 200.0 / WEIGHT)
        terms = dict(row.terms)
        assert terms["cracking_pressure"] == 200.0
        assert terms["kv"] == 1.5
        assert "ground_test_factor" not in terms

    def test_a_part_of_known_square_loss(self, path):
        row = row_of(path, "loss")
        assert row.loss == pytest.approx(1e6 * row.flow**2)
        assert dict(row.terms)["coefficient"] == 1e6

    def test_a_screen_has_no_bore(self, path):
        row = row_of(path, "strainer")
        assert np.isnan([row.bore, row.velocity, row.reynolds, row.coefficient]).all()
        assert row.loss > 0
        terms = dict(row.terms)
        assert (terms["area"], terms["wires_per_metre"]) == (0.001, 2000.0)
        assert (terms["wire_diameter"], terms["clear_fraction"]) == (1e-4, 0.8)
        assert terms["ground_test_factor"] == 1.0

    def test_a_measured_part_takes_what_the_others_leave(self, path):
        row = row_of(path, "filter")
        others = sum(item.loss for item in path.rows if item.part != "filter")
        assert row.loss == pytest.approx(SURFACE - others, rel=1e-6)
        assert row.law == "measured table"

    def test_the_jet_is_lost_whole(self, path):
        row = path.rows[-1]
        assert row.reynolds > 4000
        assert row.loss == pytest.approx(velocity_head(row.flow, ELBOWS.bore))  # the last bore
        terms = dict(row.terms)
        assert terms["kinetic_coefficient"] == pytest.approx(1.0)
        assert terms["ground_test_factor"] == 1.0


class TestOtherConditions:
    def test_a_line_laid_the_other_way_reads_the_same(self, path):
        (ahead,) = paths(one_line(feed(*PARTS)))
        (back,) = paths(one_line(feed(*PARTS, backwards=True)))
        assert [row.part for row in back.rows] == [row.part for row in ahead.rows]
        for one, other in zip(ahead.rows, back.rows, strict=True):
            for name in ("flow", "velocity", "reynolds", "coefficient", "loss", "share"):
                expected = pytest.approx(getattr(one, name), rel=1e-8, nan_ok=True)
                assert getattr(other, name) == expected
        assert abs(back.closure) < 1e-8
        assert (back.tank, back.outlet, back.end) == ("tank", "out", "open end")

    def test_a_dirty_screen_says_how_clear_it_is(self):
        system = one_line(feed(*PARTS))
        for row, share in enumerate((0.8, 0.2)):  # as stated, then at 20 %
            (path,) = paths(system, row, pitch=[0.0, 0.0], screen_clear=[np.nan, 0.2])
            assert dict(row_of(path, "strainer").terms)["clear_fraction"] == share
            assert abs(path.closure) < 1e-8

    def test_each_scenario_has_its_own_heights_flow_and_liquid(self):
        (path,) = paths(one_line(feed(loss(1e6))), 1, pitch=[0.0, 1.2])
        # All at station 1: heights shrink with cos and sink with sin.
        assert path.surface_elevation == pytest.approx(SURFACE * np.cos(1.2) - np.sin(1.2))
        assert path.end_elevation == pytest.approx(-np.sin(1.2))
        assert path.available == pytest.approx(SURFACE * np.cos(1.2))
        assert sum(item.share for item in path.rows) == pytest.approx(1.0)
        assert abs(path.closure) < 1e-8

    def test_pressure_over_the_fuel_is_told_apart_from_its_level(self):
        # 40 m/s at sea level, coefficient 0.5: 490 Pa.
        (path,) = paths(one_line(feed(loss(1e6)), coefficient=0.5), airspeed=[40.0])
        head = 0.5 * float(dynamic_pressure(40.0, 0.0)) / WEIGHT
        assert path.tank_pressure_head == pytest.approx(head)
        assert path.surface_elevation == pytest.approx(SURFACE)
        assert path.end_pressure_head == pytest.approx(0.0)
        assert path.available == pytest.approx(SURFACE + head)
        assert abs(path.closure) < 1e-8

    def test_the_way_ends_in_the_float_bowl_where_that_is_the_end(self):
        bowl = Carburettor(parts=(SEAT,), float_level=Point(1, 0, 0.03), bowl_pressure=100.0)
        system = one_line(feed(loss(1e6)), engine={"carburettor": bowl})
        ends = {"pitch": [0.0, 0.0], "end": np.array([OPEN_LINE, CARBURETTOR])}
        (open_line,), (into_bowl,) = paths(system, 0, **ends), paths(system, 1, **ends)
        assert (open_line.end, into_bowl.end) == ("open end", "carburettor")
        assert [row.part for row in into_bowl.rows] == ["mouth out", "loss", "seat"]
        assert into_bowl.end_elevation == pytest.approx(0.03)
        assert into_bowl.end_pressure_head == pytest.approx(100.0 / WEIGHT)
        assert into_bowl.available == pytest.approx(SURFACE - 0.03 - 100.0 / WEIGHT)
        assert abs(into_bowl.closure) < 1e-8

    def test_what_costs_nothing_on_this_way_is_left_out(self):
        # A mouth without loss and the exit into the tank, which only flow back would meet; a part
        # of the line stays in the list even where it costs nothing.
        nothing = replace(ELBOWS, name="nothing", bore=BORE, k_inf=0.0, k_laminar=0.0)
        (path,) = paths(one_line(feed(loss(1e6), nothing), mouth=0.0))
        assert [row.part for row in path.rows] == ["loss", "nothing", "open end (kinetic energy)"]
        assert row_of(path, "nothing").loss == 0.0


class TestNoPath:
    def test_a_demand_has_no_open_end(self):
        system = one_line(feed(loss(1e6)))
        assert paths(system, end=np.array([DEMAND]), demand=np.array([0.01])) == ()

    def test_a_shut_line(self):
        assert paths(one_line(replace(feed(loss(1e6)), closed=True))) == ()

    def test_a_failed_solve(self):
        assembly = assemble(one_line(feed(loss(1e6))))
        here = situation(assembly)
        solution = solve(assembly.network, here.conditions)
        lost = replace(solution, flow=np.full_like(solution.flow, np.nan))
        assert loss_paths_of(assembly, here, lost, 0) == ()

    def test_without_head_there_is_no_share(self):
        # A made-up solution: flow where no head is.
        assembly = assemble(one_line(feed(loss(1e6))))
        here = situation(assembly)
        heads = here.conditions.fixed_head.copy()
        heads[:] = 0.0
        level = replace(here, conditions=replace(here.conditions, fixed_head=heads))
        solution = solve(assembly.network, here.conditions)
        (path,) = loss_paths_of(assembly, level, solution, 0)
        assert path.available == 0.0
        assert all(np.isnan(row.share) for row in path.rows)


class TestSeveralWays:
    @staticmethod
    def bridge() -> FuelSystem:
        """Two outlets, two ways to the engine and a cross line between; a is the easy one."""
        top, middle, low = Point(1, 0, 0.5), Point(1, 0, 0.3), Point(1, 0, 0.0)
        lines = [
            run("a", "tank.a", "near", [top, middle], loss(1e6, "a easy")),
            run("b", "tank.b", "far", [top, middle], loss(1e8, "b hard")),
            run("cross", "far", "near", [middle, middle], loss(1e6, "cross loss")),
            run("a down", "near", "engine", [middle, low], loss(1e8)),
            run("b down", "far", "engine", [middle, low], loss(1e8)),
        ]
        nodes = [Junction(name=name, at=middle) for name in ("near", "far")]
        return plain([reservoir("tank", SURFACE, {"a": top, "b": top})], lines, nodes)

    def test_every_way_that_flows_is_listed_and_closes(self):
        found = paths(self.bridge())
        ways = [[row.line for row in path.rows][:-1] for path in found]
        assert sorted(ways) == [["a", "a down"], ["a", "cross", "b down"], ["b", "b down"]]
        assert [path.outlet for path in found] == ["a", "a", "b"]
        for path in found:
            assert path.end == "open end"
            assert abs(path.closure) < 1e-8
            assert path.available == pytest.approx(SURFACE)
            assert all(row.flow > 0 and row.loss > 0 for row in path.rows)

    def test_half_a_selector_sits_on_each_side(self):
        top, low = Point(1, 0, 0.5), Point(1, 0, 0.0)
        lines = [
            run("down", "tank.out", "selector", [top, low], tube(0.5)),
            run("feed", "selector", "engine", [low, low], tube(0.5)),
        ]
        selector = Selector(
            name="selector",
            at=low,
            ports={"tank": "down"},
            outlet="feed",
            positions={"on": ("tank",)},
            judged=("on",),
            loss=replace(ELBOWS, name="valve", k_laminar=0.0, count=1),
        )
        (path,) = paths(plain([reservoir("tank", SURFACE, {"out": top})], lines, [selector]))
        halves = [row for row in path.rows if told(row.part).startswith("valve (0.5 of it")]
        assert len(halves) == 2
        for row in halves:
            assert row.coefficient == pytest.approx(0.25)
            assert dict(row.terms)["share_of_part"] == 0.5


class TestGroundTest:
    def test_factors_of_a_ground_test_are_in_the_losses_and_named(self):
        factors = {
            "feed: elbows #2": PartFactors(key="feed: elbows #2", loss=1.2, laminar=1.5, bore=1.0),
            "feed: hose #1": PartFactors(key="feed: hose #1", loss=1.0, laminar=1.0, bore=0.95),
            "feed: flap #8": PartFactors(key="feed: flap #8", loss=1.44, laminar=1.0, bore=1.0),
            "feed: loss #7": PartFactors(key="feed: loss #7", loss=1.3, laminar=1.0, bore=1.0),
            "feed: seat #4": PartFactors(key="feed: seat #4", loss=1.4, laminar=1.0, bore=1.0),
        }
        learned = Calibration(
            keys=(), scores=(), learned=(), directions=(), parts=tuple(factors.values()),
            friction=1.1,
        )  # fmt: skip
        (path,) = paths(replace(one_line(feed(*PARTS, VALVE)), calibration=learned))
        assert abs(path.closure) < 1e-8
        flow = path.rows[0].flow
        row = row_of(path, "elbows")
        k = 2 * (1.2 * 0.5 + 1.5 * 300.0 / row.reynolds)
        assert row.coefficient == pytest.approx(k)
        terms = dict(row.terms)
        assert (terms["k_inf"], terms["k_laminar"]) == (0.6, 450.0)
        parts = terms["quadratic"] * flow**2 + terms["linear"] * VISCOSITY * flow
        assert parts == pytest.approx(row.loss)
        row = row_of(path, "hose")
        assert row.bore == pytest.approx(0.95 * BORE)
        factor = float(darcy_factor(np.array(row.reynolds), np.array(2e-6 / row.bore)))
        head = velocity_head(flow, 0.95 * BORE)
        assert row.loss == pytest.approx(1.1 * factor * 0.4 / row.bore * head)
        assert dict(row.terms)["ground_test_factor"] == 1.1
        assert dict(row.terms)["darcy_factor"] == pytest.approx(factor)
        assert dict(row_of(path, "tube").terms)["ground_test_factor"] == 1.0  # not by the law
        # A loss 1.44 times as high is a kv lower by 1.2.
        assert dict(row_of(path, "flap").terms)["kv"] == pytest.approx(1.5 / 1.2)
        assert dict(row_of(path, "loss").terms)["coefficient"] == pytest.approx(1.3e6)
        assert row_of(path, "loss").loss == pytest.approx(1.3e6 * flow**2)
        assert dict(row_of(path, "seat").terms)["ground_test_factor"] == 1.4
        assert path.rows[0].velocity * AREA == pytest.approx(flow)
        assert flow / AREA > 0.1

"""Fuel standing in uncovered legs: height over the first flowing junction, by hand.

The solutions are written down, not solved: heads and flows are round numbers, so that each height
is a sum on paper. Law: static pressure at the junction against the air pressure of the leg's own
tank (hydrostatics and Bernoulli), docs/theory/air.md.
"""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly, assemble
from flowsim.network.scenarios import Situation
from flowsim.network.solver import Solution, solve
from flowsim.network.standing import STILL, standing_columns
from flowsim.system.lines import Junction, Selector
from flowsim.system.points import Point
from tests.support.plain_systems import DENSITY, loss, plain, reservoir, run, situation, tube

FLOW = 3e-5
BORES = {
    "leg": 0.010,
    "second leg": 0.010,
    "against": 0.009,
    "along": 0.009,
    "stub": 0.007,
    "spare": 0.007,
    "main": 0.008,
    "across": 0.006,
    "feed": 0.005,
}
HEADS = {"k": 0.70, "d": 0.90, "j1": 0.65, "j2": 0.60, "high.out": 1.45, "engine": 0.41}
"""[m] Heads of the flowing system; those of fixed nodes are read by no law here."""
PLACES = {
    "low.out": Point(1.6, 0.0, 1.0),
    "second.out": Point(1.6, 0.0, 0.8),
    "high.out": Point(1.2, 0.0, 1.4),
    "k": Point(1.5, 0.0, 0.55),
    "d": Point(1.5, 0.1, 0.1),
    "j1": Point(1.2, 0.0, 0.5),
    "j2": Point(1.0, 0.0, 0.4),
    "engine": Point(0.5, 0.0, 0.3),
}


def velocity_head(name: str, flow: float = FLOW) -> float:
    area = np.pi * BORES[name] ** 2 / 4
    return (flow / area) ** 2 / (2 * STANDARD_GRAVITY)


def system(closed: str = "", vents: tuple[float, float] = (0.0, 0.0)) -> Assembly:
    """Two uncovered tanks and one that feeds.

    low.out - leg - k; k joins j1 by a line drawn against the leg and j2 by one along it; stub
    leads from k to a dead end d, spare from the feeding tank to k. high.out - main - j1 - across -
    j2 - feed - engine. second.out - second leg - j2.
    """
    ends = {
        "leg": ("low.out", "k"),
        "stub": ("k", "d"),
        "spare": ("high.out", "k"),
        "against": ("j1", "k"),
        "along": ("k", "j2"),
        "main": ("high.out", "j1"),
        "across": ("j1", "j2"),
        "second leg": ("j2", "second.out"),
        "feed": ("j2", "engine"),
    }
    lines = [
        replace(
            run(
                name,
                *pair,
                [PLACES[end] for end in pair],
                tube(1.0, BORES[name]),
                bore=BORES[name],
            ),
            closed=name == closed,
        )
        for name, pair in ends.items()
    ]
    tanks = [
        reservoir("low", 0.9, {"out": PLACES["low.out"]}, pressure_coefficient=vents[0]),
        reservoir("second", 0.7, {"out": PLACES["second.out"]}, pressure_coefficient=vents[1]),
        reservoir("high", 1.5, {"out": PLACES["high.out"]}),
    ]
    nodes = [Junction(name=name, at=PLACES[name]) for name in ("k", "d", "j1", "j2")]
    return assemble(plain(tanks, lines, nodes))


def flows(assembly: Assembly, **given: float) -> np.ndarray:
    """Flow of each link: along main, across, feed and the open end, other values as given."""
    values = {"main": FLOW, "across": FLOW, "feed": FLOW, "open_end": FLOW, **given}
    return np.array(
        [values.get(link.name.replace(" ", "_"), 0.0) for link in assembly.network.links]
    )


def solution(assembly: Assembly, rows: list[np.ndarray], **given) -> Solution:
    count = len(rows)
    heads = [HEADS.get(name, np.nan) for name in assembly.network.node_names]
    values = {
        "flow": np.array(rows),
        "head": np.tile(heads, (count, 1)),
        "iterations": np.ones(count, dtype=np.intp),
        "residual": np.zeros(count),
        "imbalance": np.zeros(count),
        "converged": np.ones(count, dtype=bool),
        "supplied": np.ones(count, dtype=bool),
        **{key: np.asarray(value) for key, value in given.items()},
    }
    return Solution(**values)


def on_the_ground(assembly: Assembly, count: int = 1, **given) -> Situation:
    return situation(assembly, [0.0] * count, **given)


def columns(assembly: Assembly, *rows: np.ndarray, **given) -> np.ndarray:
    return standing_columns(
        assembly, on_the_ground(assembly, len(rows)), solution(assembly, list(rows), **given)
    )


LOW = min(0.65 - 0.50 - velocity_head("across"), 0.60 - 0.40 - velocity_head("feed"))
"""[m] The leg's way over still lines ends at j1 and at j2: the lower of both decides."""
SECOND = 0.60 - 0.40 - velocity_head("feed")
USUAL = [LOW, SECOND, np.nan]


class TestHeight:
    assembly = system()

    def test_head_over_the_junction_less_its_fastest_velocity_head(self):
        """Fastest at j1: across (6 mm), at j2: feed (5 mm). Covered outlets have no column."""
        found = columns(self.assembly, flows(self.assembly))
        assert found.shape == (1, 3)
        assert found[0] == pytest.approx(USUAL, nan_ok=True)
        assert velocity_head("feed") > 0.1  # so that it counts in what is compared

    def test_the_lower_of_two_junctions_decides_whichever_is_met_first(self):
        for names, heads in (("j1", 0.51), ("j2", 0.43)):
            node = self.assembly.node_index[names]
            given = solution(self.assembly, [flows(self.assembly)])
            given.head[0, node] = heads
            found = standing_columns(self.assembly, on_the_ground(self.assembly), given)
            fastest = {"j1": "across", "j2": "feed"}[names]
            by_hand = heads - PLACES[names].waterline - velocity_head(fastest)
            assert found[0, 0] == pytest.approx(by_hand)

    def test_a_junction_met_by_the_leg_itself_hides_those_beyond(self):
        """With flow through k the leg stands over k; its own links' speeds count, here "along"."""
        found = columns(self.assembly, flows(self.assembly, along=2e-5))
        assert found[0, 0] == pytest.approx(0.70 - 0.55 - velocity_head("along", 2e-5))

    def test_speed_counts_whichever_way_it_runs(self):
        found = columns(self.assembly, flows(self.assembly, against=-2e-5))
        assert found[0, 0] == pytest.approx(0.70 - 0.55 - velocity_head("against", 2e-5))

    def test_a_flow_of_rounding_stands_still(self):
        still = columns(self.assembly, flows(self.assembly, along=STILL))
        assert still[0] == pytest.approx(USUAL, nan_ok=True)
        moving = columns(self.assembly, flows(self.assembly, along=3 * STILL))
        assert moving[0, 0] == pytest.approx(0.15)

    def test_a_low_head_draws_air(self):
        given = solution(self.assembly, [flows(self.assembly)])
        given.head[0, self.assembly.node_index["j2"]] = 0.35
        found = standing_columns(self.assembly, on_the_ground(self.assembly), given)
        assert found[0, 1] == pytest.approx(-0.05 - velocity_head("feed"))

    @pytest.mark.parametrize(("vents", "airspeed"), [((-0.3, 0.2), 30.0), ((0.4, -0.1), 40.0)])
    def test_the_air_in_the_legs_own_tank_pushes_down(self, vents, airspeed):
        """Vent pressure = coefficient x 1.225 kg/m3 x V^2/2, as a column of the fuel."""
        assembly = system(vents=vents)
        flying = on_the_ground(assembly, airspeed=[airspeed])
        found = standing_columns(assembly, flying, solution(assembly, [flows(assembly)]))
        ram = 0.5 * 1.225 * airspeed**2 / (DENSITY * STANDARD_GRAVITY)
        expected = [LOW - vents[0] * ram, SECOND - vents[1] * ram, np.nan]
        assert found[0] == pytest.approx(expected, nan_ok=True)

    def test_heights_count_from_the_junction_in_the_attitude_flown(self):
        """Nose-down: nose-up the stated surface would cover the outlet aft of it."""
        pitch = np.radians(-10.0)
        nose_down = situation(self.assembly, [pitch])
        found = standing_columns(
            self.assembly, nose_down, solution(self.assembly, [flows(self.assembly)])
        )
        j2 = 0.40 * np.cos(pitch) - 1.0 * np.sin(pitch)
        assert found[0, 1] == pytest.approx(0.60 - j2 - velocity_head("feed"))


class TestWaysToAJunction:
    def test_a_closed_line_holds_its_fuel_apart(self):
        """With the line along shut the leg is joined to j1 alone; the other way round to j2."""
        found = [columns(system(name), flows(system(name)))[0, 0] for name in ("along", "against")]
        assert found == pytest.approx(
            [0.65 - 0.50 - velocity_head("across"), 0.60 - 0.40 - velocity_head("feed")]
        )

    def test_a_leg_shut_at_its_outlet_has_no_column(self):
        assembly = system("leg")
        assert columns(assembly, flows(assembly))[0] == pytest.approx(
            [np.nan, SECOND, np.nan], nan_ok=True
        )

    def test_a_tank_on_the_way_is_no_junction(self):
        """The spare line joins the leg to a tank whose main moves: with all else shut, nothing."""
        base = system()
        lines = tuple(
            replace(line, closed=line.name in ("along", "against")) for line in base.system.lines
        )
        assembly = assemble(replace(base.system, lines=lines))
        assert np.isnan(columns(assembly, flows(assembly))[0, 0])

    def test_a_leg_straight_to_the_inlet_stands_over_the_inlet(self):
        outlet, inlet = Point(1.0, 0.0, 1.0), Point(0.5, 0.0, 0.3)
        assembly = assemble(
            plain(
                [reservoir("low", 0.9, {"out": outlet}), reservoir("high", 1.5, {"out": outlet})],
                [
                    run("leg", "low.out", "engine", [outlet, inlet], tube(1.0, 0.010)),
                    run("main", "high.out", "engine", [outlet, inlet], tube(1.0, 0.008)),
                ],
            )
        )
        given = solution(assembly, [np.array([0.0, FLOW, FLOW])])
        found = standing_columns(assembly, situation(assembly), given)
        open_end = (FLOW / (np.pi * 0.008**2 / 4)) ** 2 / (2 * STANDARD_GRAVITY)
        assert found[0] == pytest.approx([0.41 - 0.3 - open_end, np.nan], nan_ok=True)


class TestScenarios:
    assembly = system()

    def test_where_nothing_moves_no_air_is_drawn(self):
        """NaN, because no junction flows; a solved neighbour in the batch keeps its own heights."""
        rest = np.zeros(len(self.assembly.network.links))
        found = columns(self.assembly, rest, flows(self.assembly))
        assert np.isnan(found[0]).all()
        assert found[1] == pytest.approx(USUAL, nan_ok=True)

    @pytest.mark.parametrize("reason", ["converged", "supplied"])
    def test_what_was_not_solved_has_no_height(self, reason):
        rows = [flows(self.assembly)] * 3
        found = columns(self.assembly, *rows, **{reason: [True, False, True]})
        assert np.isnan(found[1]).all()
        for row in (0, 2):
            assert found[row] == pytest.approx(USUAL, nan_ok=True)

    def test_an_outlet_whose_cover_is_unknown_has_no_height(self):
        """The surface of a tank filled beyond its brim is NaN: no number, and no guess."""
        here = on_the_ground(self.assembly)
        unknown = replace(here, cover=np.array([[np.nan, -0.1, 0.1]]))
        given = solution(self.assembly, [flows(self.assembly)])
        found = standing_columns(self.assembly, unknown, given)
        assert found[0] == pytest.approx([np.nan, SECOND, np.nan], nan_ok=True)

    def test_each_scenario_has_its_own_bare_outlets_and_moving_lines(self):
        """A batch of all kinds gives what each gives alone."""
        rows = [
            flows(self.assembly),
            flows(self.assembly, along=2e-5),
            np.zeros(len(self.assembly.network.links)),
            flows(self.assembly, feed=2e-5),
            flows(self.assembly, along=2e-5),
            flows(self.assembly, against=1e-5, along=1e-5),
        ]
        here = on_the_ground(self.assembly, len(rows))
        cover = np.array(here.cover)
        cover[0, 0] = cover[1, 1] = cover[3, 0] = 0.05
        cover[4] = 0.05
        here = replace(here, cover=cover)
        heads = np.array(solution(self.assembly, rows).head)
        heads += 0.01 * np.arange(len(rows))[:, None]
        whole = standing_columns(self.assembly, here, solution(self.assembly, rows, head=heads))
        assert np.isfinite(whole).sum() == 5
        for row in range(len(rows)):
            one = on_the_ground(self.assembly)
            one = replace(one, cover=cover[[row]])
            alone = solution(self.assembly, [rows[row]], head=heads[[row]])
            found = standing_columns(self.assembly, one, alone)
            np.testing.assert_array_equal(found[0], whole[row])

    def test_the_selectors_position_of_each_scenario_counts(self):
        """A selector at k: the leg is joined to j1 in one position and to j2 in the other."""
        base = self.assembly.system
        at_k = Selector(
            name="k",
            at=PLACES["k"],
            ports={"one": "against", "two": "along"},
            outlet="leg",
            positions={"one": ("one",), "two": ("two",)},
            judged=("one", "two"),
            loss=loss(1e6),
        )
        assembly = assemble(replace(base, nodes=(at_k, *base.nodes[1:])))
        here = on_the_ground(assembly, 3, position=[1, 0, 1])
        given = solution(assembly, [flows(assembly)] * 3)
        over_j1 = 0.65 - 0.50 - velocity_head("across")
        over_j2 = 0.60 - 0.40 - velocity_head("feed")
        found = standing_columns(assembly, here, given)
        assert found[:, 0] == pytest.approx([over_j2, over_j1, over_j2])

    def test_no_scenario_with_a_bare_outlet_gives_nothing(self):
        here = on_the_ground(self.assembly)
        here = replace(here, cover=np.full((1, 3), 0.05))
        given = solution(self.assembly, [flows(self.assembly)])
        assert np.isnan(standing_columns(self.assembly, here, given)).all()


class TestSolved:
    def test_a_solved_system_stands_by_its_own_heads(self):
        """The same law on flows that the solver found; the bare legs carry nothing.

        A long main takes so much head that the junctions' stays below the bare outlets.
        """
        base = system()
        lines = tuple(
            replace(line, parts=(tube(40.0, BORES["main"]),)) if line.name == "main" else line
            for line in base.system.lines
            if line.name != "spare"
        )
        assembly = assemble(replace(base.system, lines=lines))
        here = on_the_ground(assembly)
        found = solve(assembly.network, here.conditions)
        assert found.converged.all()
        names = [link.name for link in assembly.network.links]
        moving = {
            name for name, flow in zip(names, found.flow[0], strict=True) if abs(flow) > STILL
        }
        assert moving == {"against", "along", "main", "across", "feed", "open end"}
        columns_found = standing_columns(assembly, here, found)
        j2 = assembly.node_index["j2"]
        areas = {name: np.pi * bore**2 / 4 for name, bore in BORES.items()}
        speeds = [
            abs(found.flow[0, names.index(name)]) / areas[name]
            for name in ("along", "across", "feed", "second leg")
        ]
        by_hand = found.head[0, j2] - 0.4 - max(speeds) ** 2 / (2 * STANDARD_GRAVITY)
        assert columns_found[0, 1] == pytest.approx(by_hand)

"""Scenarios that are the same but for left and right: counted once, and only where it is so."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from flowsim.files.case.reader import read_case
from flowsim.network.assembly import assemble
from flowsim.studies.adequacy.brief import judged_table
from flowsim.studies.joint.mirrored import alike_scenarios, mirror_of, one_of_each
from flowsim.studies.joint.study import joint_ratios
from flowsim.studies.judged.sweep import Sweep, sweep_of
from flowsim.studies.sampling.draws import Draws, draw
from flowsim.studies.verdict.judging import judge_lines
from flowsim.system.bands import Lognormal
from flowsim.system.fuel_system import FuelSystem

CASES = Path(__file__).parents[4] / "cases"
DRAWS, SEED = 16, 3


@pytest.fixture(
    scope="module", params=("four-outlets", pytest.param("tandem", marks=pytest.mark.long))
)
def even(request: pytest.FixtureRequest) -> FuelSystem:
    return read_case(CASES / request.param / "case.toml")


def swept_and_drawn(system: FuelSystem) -> tuple[Sweep, Draws]:
    assembly = assemble(system)
    swept = sweep_of(assembly, judged_table(assembly))
    return swept, draw(assembly, DRAWS, SEED)


def with_line(system: FuelSystem, name: str, **change: object) -> FuelSystem:
    lines = tuple(replace(line, **change) if line.name == name else line for line in system.lines)
    return replace(system, lines=lines)


def first_line(system: FuelSystem):
    return next(line for line in system.lines if line.name == "left front")


def test_what_is_alike_gives_the_same_in_every_draw(even):
    swept, draws = swept_and_drawn(even)
    number = alike_scenarios(swept, draws)
    random = np.random.default_rng(SEED)
    several = [one for one in np.unique(number) if (number == one).sum() > 1]
    assert len(several) > 0.3 * len(np.unique(number))
    for one in random.choice(several, 25, replace=False):
        rows = swept.judged_rows[number == one]
        found = joint_ratios(swept, rows, draws)
        for ratio in (found.full, found.trapped):
            assert ratio == pytest.approx(np.repeat(ratio[:, :1], len(rows), axis=1), rel=1e-7)


def test_sides_are_told_apart_from_front_and_rear(even):
    assembly = assemble(even)
    nodes, links = mirror_of(assembly, draw(assembly, DRAWS, SEED))
    names = assembly.network.node_names
    for node, other in enumerate(nodes):
        swapped = names[node].replace("left", "?").replace("right", "left").replace("?", "right")
        assert names[other] == swapped
    for link, other in enumerate(links):
        assert links[other] == link


def test_a_part_with_an_uncertainty_of_its_own_is_not_alike(even):
    line = first_line(even)
    wide = replace(line.parts[-1], band=Lognormal(1.7))
    uneven = with_line(even, line.name, parts=(*line.parts[:-1], wide))
    assembly = assemble(uneven)
    assert mirror_of(assembly, draw(assembly, DRAWS, SEED)) is None


def test_a_longer_line_is_not_alike(even):
    line = first_line(even)
    index = next(i for i, part in enumerate(line.parts) if hasattr(part, "length"))
    longer = replace(line.parts[index], length=line.parts[index].length * 1.001)
    uneven = with_line(
        even, line.name, parts=(*line.parts[:index], longer, *line.parts[index + 1 :])
    )
    assembly = assemble(uneven)
    assert mirror_of(assembly, draw(assembly, DRAWS, SEED)) is None


def test_a_vent_with_a_pressure_of_its_own_is_not_alike(even):
    tank = even.tanks[0]
    vent = replace(tank.vent, pressure_coefficient=tank.vent.pressure_coefficient - 0.05)
    uneven = replace(even, tanks=(replace(tank, vent=vent), *even.tanks[1:]))
    swept, draws = swept_and_drawn(uneven)
    number = alike_scenarios(swept, draws)
    ram = swept.table.scenarios.airspeed[swept.judged_rows] > 0
    assert ram.any()
    for one in np.unique(number[ram]):
        rows = swept.judged_rows[number == one]
        found = joint_ratios(swept, rows, draws)
        assert found.full == pytest.approx(np.repeat(found.full[:, :1], len(rows), axis=1))


def test_an_outlet_that_lies_higher_is_not_alike(even):
    tank = even.tanks[0]
    name, outlet = next((outlet.name, outlet) for outlet in tank.outlets)
    raised = replace(outlet, at=outlet.at._replace(waterline=outlet.at.waterline + 0.003))
    outlets = tuple(raised if one.name == name else one for one in tank.outlets)
    uneven = replace(even, tanks=(replace(tank, outlets=outlets), *even.tanks[1:]))
    assembly = assemble(uneven)
    assert mirror_of(assembly, draw(assembly, DRAWS, SEED)) is None


def test_one_of_each_gives_the_least_of_all(even):
    assembly = assemble(even)
    table = judged_table(assembly)
    kept = one_of_each(assembly, table, None)
    assert len(kept.judged) < 0.7 * len(table.judged)
    whole, part = (judge_lines(sweep_of(assembly, one), None) for one in (table, kept))
    assert [line.name for line in part] == [line.name for line in whole]
    for one, other in zip(whole, part, strict=True):
        assert other.least_nominal == pytest.approx(one.least_nominal, rel=1e-9)


def test_a_hump_on_one_side_is_not_alike(even):
    """Air stands behind it on that side alone, though lengths, bends and ends are the same."""
    line = first_line(even)
    assert line.route is not None
    middle = len(line.route) // 2
    x, y, z = line.route[middle]
    route = (*line.route[:middle], (x, y, z + 0.1), *line.route[middle + 1 :])
    uneven = with_line(even, line.name, route=route)
    assembly = assemble(uneven)
    assert mirror_of(assembly, None) is None
    assert mirror_of(assembly, draw(assembly, DRAWS, SEED)) is None
    table = judged_table(assembly)
    every, some = (sweep_of(assembly, one) for one in (table, one_of_each(assembly, table, None)))
    assert some.trapped_ratio.min() == pytest.approx(every.trapped_ratio.min(), rel=1e-9)

"""The runs that the mark needs: the attitude of the least flow is among them."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.document.words.telling import all_told, told
from flowsim.network.assembly import assemble
from flowsim.studies.ground_test.candidates import candidates
from flowsim.studies.ground_test.diagnose import odd_runs
from flowsim.studies.ground_test.fit import SetUpErrors, StraightFit
from flowsim.studies.ground_test.mark import against_mark
from flowsim.studies.ground_test.needed import needed_runs
from flowsim.system.bands import Exact
from flowsim.system.points import Point
from tests.unit.studies.ground_test_systems import bench, box, reading, setting

UNUSABLE = 0.05
"""[m3] So much that the outlet stays covered nose-up."""
FLAT = box(1.0, 1.4)


def behind(distance):
    """The bench with its inlet a distance [m] aft of the outlet: nose-up adds head there."""
    system = bench(Exact(), FLAT)
    end = Point(0.25 + distance, 0.25, 0.1)
    line = replace(system.lines[0], route=(system.lines[0].route[0], end), length=2.0)
    tank = replace(system.tanks[0], unusable=UNUSABLE, least_takeoff=0.06)
    return replace(
        system, tanks=(tank,), lines=(line,), engine=replace(system.engine, inlet_at=end)
    )


@pytest.mark.parametrize(
    ("distance", "wanted"),
    [(-1.0, []), (1.0, ["level on the test quantity, where the flow is least"])],
)
def test_the_attitude_of_the_least_flow_is_asked_for(distance, wanted):
    assembly = assemble(behind(distance))
    needed = needed_runs(assembly, 1e-3, 288.15)
    assert [told(run.words) for run in needed if run.slowest] == wanted
    named = [told(run.name) for run in candidates(assembly, 1e-3, 0.5) if run.needed]
    assert len(named) == len(needed)
    assert ("tank to engine, level, where the flow is least" in named) == bool(wanted)


def test_the_mark_is_not_met_nose_up_alone_where_level_gives_less():
    """Nose-up is the favourable attitude of an engine behind its tank: made there alone."""
    system = behind(1.0)
    assembly = assemble(system)
    required = system.engine.burn * system.engine.factor
    steep = setting(pitch=float(np.radians(15.0)), quantities=(UNUSABLE + system.test_draw,))
    level = replace(steep, pitch=0.0)
    quick = 1e-3 * 715.0 / (1.5 * required)
    nose_up = [reading(quick, str(n), steep) for n in range(3)]
    alone = against_mark(assembly, tuple(nose_up))
    assert alone.passed is None
    assert all_told(alone.short) == (
        "the system was not tested level on the test quantity, where the flow is least",
    )
    slow = [reading(2 * quick, str(n), level) for n in range(3, 6)]
    assert against_mark(assembly, (*nose_up, *slow)).passed is False
    well = [reading(quick, str(n), level) for n in range(3, 6)]
    assert against_mark(assembly, (*nose_up, *well)).passed


def test_repeats_that_agree_are_not_called_contradicted():
    """Three equal times far from the prediction are odd together, not one by one."""
    runs = tuple(reading(50.0, str(n)) for n in range(3))
    errors = SetUpErrors(common=np.zeros((3, 0)), names=(), own=np.full(3, 0.02))
    line = StraightFit(effects=np.full((3, 1), 0.03), values=np.full(3, -1.0))
    assert odd_runs(runs, line, errors) == ()
    one = replace(line, values=np.array([-1.0, -1.0, -1.3]))
    (odd,) = odd_runs(runs, one, errors)
    assert (odd.runs, odd.single) == ((2,), True)

"""No wrong "adequate": the rewriting count, reduced; ``python -m tests.benchmarks.rewriting``."""

import numpy as np
import pytest

from flowsim.document.words.telling import told
from flowsim.errors import InputError
from flowsim.studies.adequacy.brief import judge_briefly
from flowsim.studies.changes.resize import Size, resized
from flowsim.system.fuel_system import FuelSystem
from tests.benchmarks.rewriting import examine, read, runs_back
from tests.support.plausible_cases import plausible_case
from tests.support.rewritings import SAME
from tests.support.study_figures import SIZES


@pytest.mark.parametrize("seed", range(200, 203))
def test_a_rewriting_changes_no_answer_and_a_worse_system_is_no_better(seed):
    tally = examine(seed, False, False, 3)
    assert tally.systems == 1
    assert not tally.broken


def least_with(system: FuelSystem, size: Size) -> float:
    """Least ratio with a size in every line, as ``size`` tries it."""
    names = tuple(line.name for line in system.lines)
    changed = resized(system, names, size).system
    return judge_briefly(changed, nominal=True, draws=0, seed=0).least


def test_a_size_is_put_into_every_piece_of_a_line_s_own_tube():
    # Found by the count: only the first of five pieces got the size that was tried.
    compared = 0
    for seed in (8200, 8203):
        case = plausible_case(seed)
        other = SAME["in_pieces"](case, np.random.default_rng(seed))
        if other is not None:
            compared += 1
            least = [least_with(read(one), SIZES[0]) for one in (case, other)]
            assert least[1] == pytest.approx(least[0], rel=1e-9)
    assert compared == 2


def test_a_narrower_outlet_of_a_dry_tank_is_no_worse_only_where_fuel_runs_back_into_it():
    # Found by the count: half of what the full tank gives ran into the dry one.
    case = plausible_case(9118)
    brief = judge_briefly(read(case), nominal=True, draws=0, seed=0)
    backs = {told(line.name): runs_back(brief, told(line.name)) for line in brief.lines}
    assert backs["at the carburettor, 150 %"]
    assert not backs["open line, 150 %"]
    narrower = plausible_case(9118)
    for tank in narrower["tank"]:
        if tank["name"] == "starboard":
            tank["outlet"][0]["bore"] = "0.3 in"
    other = judge_briefly(read(narrower), nominal=True, draws=0, seed=0)
    least = [{told(line.name): line.least_nominal for line in one.lines} for one in (brief, other)]
    for name, runs in backs.items():
        assert runs or least[1][name] <= least[0][name] * (1 + 1e-6)


def test_a_seat_is_compared_with_the_last_piece_however_it_is_written():
    # Found by the count: refused behind a narrow line, taken behind a hose with a narrow end.
    case = plausible_case(20234)
    as_line = SAME["piece_as_line"](case, np.random.default_rng(1))
    told = []
    for one in (case, as_line):
        with pytest.raises(InputError, match="is wider than the line at the inlet") as caught:
            read(one)
        told.append(str(caught.value).split("engine, carburettor")[1])
    assert told[0] == told[1]

"""What stands on two pages of a report is one number."""

from pathlib import Path

from flowsim.files.case.reader import read_case
from flowsim.studies.adequacy.brief import judge_swept
from flowsim.studies.adequacy.study import judge
from flowsim.studies.judged.sweep import sweep
from flowsim.studies.report.collect import collect
from flowsim.studies.uncertainty.study import uncertainty

ONE_TANK = Path(__file__).parents[4] / "cases" / "one-tank" / "case.toml"
DRAWS, SEED = 200, 4


def test_the_what_ifs_begin_with_the_figures_of_the_check():
    system = read_case(ONE_TANK)
    study = collect(system, draws=DRAWS, seed=SEED)
    told = {line.name: (line.least_nominal, line.least_low) for line in study.check.lines}
    what_ifs = study.what_ifs.result
    assert what_ifs.draws == DRAWS
    stated = {cell.line: (cell.least, cell.least_low) for cell in what_ifs.rows[0].cells}
    assert stated == told
    alone = judge(system, draws=DRAWS, seed=SEED)
    assert {line.name: (line.least_nominal, line.least_low) for line in alone.lines} == told


def test_the_spread_is_that_of_the_study_by_itself():
    system = read_case(ONE_TANK)
    brief = judge_swept(sweep(system), nominal=False, draws=DRAWS, seed=SEED)
    once, again = (
        uncertainty(system, draws=DRAWS, seed=SEED, samples=0, stated=stated)
        for stated in (None, brief)
    )
    assert once.together == again.together
    assert once.lines == again.lines
    assert once.decisions == again.decisions

"""Flow at each end, air and vapour: each decides with a word of its own."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.document.words.telling import told
from flowsim.files.case.reader import read_case
from flowsim.network.assembly import assemble
from flowsim.studies.adequacy.brief import judged_table
from flowsim.studies.judged.sweep import sweep_of
from flowsim.studies.result import Topic, Verdict
from flowsim.studies.verdict.decisions.air import air
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.decisions.flow import flow
from flowsim.studies.verdict.decisions.vapour import vapour
from flowsim.studies.verdict.judging import judge_lines
from tests.support.output_samples import CASES


@pytest.fixture(scope="module")
def evidence():
    assembly = assemble(read_case(CASES["four-outlets"]))
    swept = sweep_of(assembly, judged_table(assembly))
    return Evidence(swept=swept, joint=None, lines=judge_lines(swept, None))


def with_state(evidence, **changes):
    state = replace(evidence.swept.at_required, **changes)
    return replace(evidence, swept=replace(evidence.swept, at_required=state))


def test_flow_has_a_decision_for_each_line(evidence):
    found = flow(evidence)
    assert [item.name for item in found] == [line.name for line in evidence.lines]
    assert all(item.topic is Topic.FLOW and item.remedy == "" for item in found)


@pytest.mark.parametrize("verdict", [Verdict.NOT_ADEQUATE, Verdict.CANNOT_TELL])
def test_a_flow_that_is_not_met_has_a_remedy(evidence, verdict):
    line = replace(evidence.lines[0], flow_verdict=verdict)
    (found,) = flow(replace(evidence, lines=(line,)))
    assert found.verdict is verdict
    assert "flowsim size" in told(found.remedy)


@pytest.mark.parametrize(
    ("margin", "verdict"),
    [(-0.004, Verdict.NOT_ADEQUATE), (0.004, Verdict.CANNOT_TELL), (0.5, Verdict.ADEQUATE)],
)
def test_one_scenario_with_little_fuel_over_a_junction_decides_on_air(evidence, margin, verdict):
    state = evidence.swept.at_required
    margins = np.where(np.isnan(state.air_margin), np.nan, 1.0)
    row = int(np.flatnonzero(~np.isnan(margins))[3])
    margins[row] = margin
    (found,) = air(with_state(evidence, air_margin=margins))
    assert found.verdict is verdict
    assert found.scenario == evidence.swept.judged_rows[row]
    assert bool(found.remedy) is (verdict is not Verdict.ADEQUATE)


@pytest.mark.parametrize(
    ("margin", "verdict"),
    [(-10.0, Verdict.NOT_ADEQUATE), (4900.0, Verdict.CANNOT_TELL), (5100.0, Verdict.ADEQUATE)],
)
def test_the_least_pressure_decides_on_vapour(evidence, margin, verdict):
    margins = np.full_like(evidence.swept.at_required.vapour_margin, 2e4)
    margins[5] = margin
    (found,) = vapour(with_state(evidence, vapour_margin=margins))
    assert found.verdict is verdict
    assert found.scenario == evidence.swept.judged_rows[5]


def test_pressures_without_a_result_cannot_be_told(evidence):
    margins = evidence.swept.at_required.vapour_margin.copy()
    margins[2] = np.nan
    (found,) = vapour(with_state(evidence, vapour_margin=margins))
    assert found.verdict is Verdict.CANNOT_TELL
    assert found.remedy

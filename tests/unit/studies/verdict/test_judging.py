"""From ratios to words: every way to each verdict, with made-up ratios and margins.

The rules are those of docs/judgement.md; no physics here.
"""

from collections.abc import Sequence
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from flowsim.document.words.telling import all_told, told
from flowsim.network.scenarios import CARBURETTOR, OPEN_LINE
from flowsim.studies.adequacy.loss_paths import loss_paths_of
from flowsim.studies.adequacy.scenario_results import scenario_result
from flowsim.studies.joint.study import JointResult, joint_result
from flowsim.studies.judged.scenarios import CLIMB, RUN, UNUSABLE
from flowsim.studies.judged.sweep import VAPOUR_DOUBT, Sweep
from flowsim.studies.result import ResultLine, Verdict
from flowsim.studies.sampling.draws import draw
from flowsim.studies.verdict.decisions.flow import flow
from flowsim.studies.verdict.judging import (
    NOT_SOLVED,
    UNSOLVED_REMEDY,
    judge_lines,
    physical_verdict,
    physical_verdicts,
    pitch_said,
    ratio_verdict,
    worst,
)
from flowsim.studies.verdict.overall import overall, settling_measurement
from flowsim.system.parts import Pipe
from tests.support.swept import swept, swept_pair

ADEQUATE, NOT_ADEQUATE, CANNOT_TELL = Verdict.ADEQUATE, Verdict.NOT_ADEQUATE, Verdict.CANNOT_TELL
COUNT = 200


def with_state(found: Sweep, judged: int, **values: float) -> Sweep:
    """Put other margins at the required flow into one judged scenario."""
    changed = {name: getattr(found.at_required, name).copy() for name in values}
    for name, value in values.items():
        changed[name][judged] = value
    return replace(found, at_required=replace(found.at_required, **changed))


def failed(solution, row: int):
    converged = solution.converged.copy()
    converged[row] = False
    return replace(solution, converged=converged)


def made_joint(found: Sweep, rows: Sequence[int], full, trapped=None) -> JointResult:
    """Make a joint result of stated ratios (draw, scenario)."""
    full = np.asarray(full, dtype=np.float64)
    return JointResult(
        rows=np.array(rows, dtype=np.intp),
        full=full,
        trapped=full.copy() if trapped is None else np.asarray(trapped, dtype=np.float64),
        draws=draw(found.assembly, len(full), 1),
    )


def first_row(found: Sweep, end: int, purpose: str) -> int:
    table = found.table
    return int(np.flatnonzero((table.scenarios.end == end) & (table.purpose == purpose))[0])


def line_of(lines: Sequence[ResultLine], start: str) -> ResultLine:
    return next(line for line in lines if told(line.name).startswith(start))


class TestWords:
    @pytest.mark.parametrize(
        ("low", "high", "verdict"),
        [
            (1.0, 2.0, ADEQUATE),
            (0.9999, 2.0, CANNOT_TELL),
            (0.5, 1.0, CANNOT_TELL),
            (0.5, 0.9999, NOT_ADEQUATE),
            (np.nan, 2.0, CANNOT_TELL),
            (1.5, np.nan, CANNOT_TELL),
        ],
    )
    def test_a_band_is_judged_by_its_ends(self, low, high, verdict):
        assert ratio_verdict(low, high) is verdict

    def test_the_gravest_verdict_counts(self):
        assert worst([ADEQUATE, CANNOT_TELL]) is CANNOT_TELL
        assert worst([CANNOT_TELL, NOT_ADEQUATE, ADEQUATE]) is NOT_ADEQUATE
        assert worst([]) is CANNOT_TELL


def physical(found: Sweep, judged: int):
    """Judge one scenario, and hold what is judged of all at once to it."""
    one = physical_verdict(found, judged)
    assert physical_verdicts(found)[judged] == one
    return one


class TestPhysical:
    def test_nothing_to_say(self):
        assert physical(swept(), 0) == (ADEQUATE, ())

    @pytest.mark.parametrize(
        ("margin", "verdict", "words"),
        [
            (-0.001, NOT_ADEQUATE, "air is drawn"),
            (0.0, CANNOT_TELL, "only 0 mm of fuel stands"),
            (0.0049, CANNOT_TELL, "air may be drawn"),
            (0.005, ADEQUATE, ""),
            (np.nan, ADEQUATE, ""),
        ],
    )
    def test_air_at_an_uncovered_outlet(self, margin, verdict, words):
        found = with_state(swept(), 3, air_margin=margin, air_least=0.005)
        said, reasons = physical(found, 3)
        assert said is verdict
        assert words in "".join(all_told(reasons))
        assert bool(reasons) is bool(words)

    @pytest.mark.parametrize(
        ("margin", "verdict", "words"),
        [
            (-1500.0, NOT_ADEQUATE, "fuel boils: 1.5 kPa below"),
            (0.0, CANNOT_TELL, "only 0.0 kPa above vapour pressure"),
            (VAPOUR_DOUBT - 1, CANNOT_TELL, "only 5.0 kPa above vapour pressure"),
            (VAPOUR_DOUBT, ADEQUATE, ""),
        ],
    )
    def test_vapour(self, margin, verdict, words):
        said, reasons = physical(with_state(swept(), 2, vapour_margin=margin), 2)
        assert said is verdict
        assert words in "".join(all_told(reasons))
        assert bool(reasons) is bool(words)

    def test_a_failed_solve_cannot_be_told(self):
        found = swept()
        row = int(found.judged_rows[1])
        delivery = replace(found.delivery, solution=failed(found.delivery.solution, row))
        assert physical(replace(found, delivery=delivery), 1)[0] is CANNOT_TELL
        state = replace(found.at_required, solution=failed(found.at_required.solution, 1))
        said, reasons = physical(replace(found, at_required=state), 1)
        assert said is CANNOT_TELL
        assert reasons == (NOT_SOLVED,)

    def test_a_law_outside_its_range_cannot_be_told(self):
        found = swept()
        outside = found.outside.copy()
        outside[4, 1] = True
        said, reasons = physical(replace(found, outside=outside), 4)
        assert said is CANNOT_TELL
        name = found.assembly.network.placed[1].part.name
        assert all_told(reasons) == (
            f"the law of {name} is used outside the range it was measured in",
        )

    def test_the_gravest_of_several_counts_and_all_are_said(self):
        found = with_state(swept(), 0, air_margin=-0.1, vapour_margin=100.0)
        said, reasons = physical(found, 0)
        assert said is NOT_ADEQUATE
        assert len(reasons) == 2


class TestLines:
    def test_names_and_requirements(self):
        lines = judge_lines(swept_pair(), None)
        assert [told(line.name) for line in lines] == [
            "open line, 150 %",
            "at the carburettor, 150 %",
            "at the carburettor, 100 %",
            "declared unusable fuel, full-power burn",
            "take-off run, 100 %, at the carburettor",
        ]
        carburettor = "carburettor"
        assert [line.end for line in lines] == [
            *("open line", carburettor, carburettor, "open line", carburettor),
        ]
        burn = swept_pair().assembly.system.engine.burn
        for line, multiple in zip(lines, (1.5, 1.5, 1.0, 1.0, 1.0), strict=True):
            assert line.required == pytest.approx(multiple * burn)

    def test_a_nominal_failure_is_never_adequate(self):
        """A scenario whose solve failed, with lines full or with air in the humps."""
        found = swept()
        judged = int(np.flatnonzero(found.table.purpose[found.judged_rows] == CLIMB)[5])
        lost = found.trapped.flow.copy()
        lost[judged] = np.nan
        broken = replace(found, trapped=replace(found.trapped, flow=lost))
        joint = joint_result(found, draw(found.assembly, 64, 1))
        assert line_of(judge_lines(found, joint), "open line").verdict is ADEQUATE
        for drawn in (None, joint):
            line = line_of(judge_lines(broken, drawn), "open line")
            assert line.verdict is CANNOT_TELL
            assert line.deciding == found.judged_rows[judged]
            said = next(word for word in all_told(line.reasons) if "could not be solved" in word)
            pitch = found.table.scenarios.pitch[found.judged_rows[judged]]
            assert told(pitch_said(pitch)) in said
            assert said.endswith(told(UNSOLVED_REMEDY))
            (decision,) = flow(SimpleNamespace(lines=(line,)))
            assert decision.verdict is CANNOT_TELL
            assert decision.remedy == UNSOLVED_REMEDY
            assert told(pitch_said(pitch)) in told(decision.found)
            assert np.isfinite(line.least_nominal)

    def test_where_nothing_is_solved_no_word_sounds_like_a_finding(self):
        found = swept()
        broken = replace(found, trapped=replace(found.trapped, flow=found.trapped.flow * np.nan))
        for line in judge_lines(broken, None):
            (decision,) = flow(SimpleNamespace(lines=(line,)))
            assert line.verdict is decision.verdict is CANNOT_TELL
            for words in (*all_told(line.reasons), told(decision.found), told(decision.figure)):
                assert "no result %" not in words
                assert "% of the required" not in words
            assert told(UNSOLVED_REMEDY) in told(line.reasons[0])
            assert "the network could not be solved" in told(decision.found)

    def test_all_failed(self):
        found = swept()
        nothing = np.full_like(found.flow, np.nan)
        line = line_of(judge_lines(replace(found, flow=nothing), None), "open line")
        assert line.verdict is CANNOT_TELL
        assert np.isnan(line.least_nominal)
        assert told(UNSOLVED_REMEDY) in told(line.reasons[0])
        assert "deg nose-up" in told(line.reasons[0])

    def test_the_band_decides_over_the_nominal_value(self):
        found = swept()
        row = first_row(found, OPEN_LINE, CLIMB)
        for low, high, verdict in (
            (1.2, 1.4, ADEQUATE),
            (0.8, 1.2, CANNOT_TELL),
            (0.5, 0.7, NOT_ADEQUATE),
        ):
            joint = made_joint(found, [row], np.linspace(low, high, COUNT)[:, None])
            line = line_of(judge_lines(found, joint), "open line")
            assert line.verdict is verdict
            ratio = np.linspace(low, high, COUNT)
            assert line.least_low == pytest.approx(np.percentile(ratio, 5))
            assert line.least_median == pytest.approx(np.percentile(ratio, 50))
            assert line.least_high == pytest.approx(np.percentile(ratio, 95))
            assert line.chance == pytest.approx(np.mean(ratio >= 1.0))
        assert told(line.reasons[0]).startswith("flow is 51.0 to 69.0 % of the required")
        assert "even at the favourable end" in told(line.reasons[0])

    def test_one_failed_draw_is_no_result(self):
        found = swept()
        ratio = np.linspace(1.2, 1.4, COUNT)[:, None]
        ratio[7] = np.nan
        joint = made_joint(found, [first_row(found, OPEN_LINE, CLIMB)], ratio)
        line = line_of(judge_lines(found, joint), "open line")
        assert line.verdict is CANNOT_TELL
        assert np.isnan(line.chance)
        assert np.isnan(line.least_low)
        assert overall(found, joint, judge_lines(found, joint)).contributions == ()

    def test_air_in_a_hump_that_decides_is_said(self):
        found = swept()
        full = np.linspace(1.1, 1.3, COUNT)[:, None]
        row = first_row(found, OPEN_LINE, CLIMB)
        line = line_of(judge_lines(found, made_joint(found, [row], full, full - 0.2)), "open line")
        assert line.verdict is CANNOT_TELL
        assert line.held_by_air
        assert told(line.reasons[0]).endswith(
            "the band straddles the requirement, with the air that humps may hold (see routing); "
            "111 to 129 % with lines full of fuel"
        )
        # Enough with the air in place, or too little without it: the hump is not what decides.
        for shift, verdict in ((0.05, ADEQUATE), (-0.2, CANNOT_TELL)):
            joint = made_joint(found, [row], full + min(shift, 0), full + shift - 0.05)
            other = line_of(judge_lines(found, joint), "open line")
            assert other.verdict is verdict
            assert not other.held_by_air
            assert not any("hump" in words for words in all_told(other.reasons))

    def test_a_band_below_the_requirement_straddles_nothing(self):
        """With lines full it does not meet it surely, with the air in place it surely does not."""
        found = swept()
        full = np.linspace(0.9, 1.1, COUNT)[:, None]
        row = first_row(found, OPEN_LINE, CLIMB)
        line = line_of(judge_lines(found, made_joint(found, [row], full, full - 0.3)), "open line")
        assert line.verdict is CANNOT_TELL
        assert not line.held_by_air
        assert "straddles" not in told(line.reasons[0])
        assert told(line.reasons[0]).endswith(" % with lines full of fuel")

    def test_a_requirement_of_100_percent_scales_the_band(self):
        found = swept_pair()
        row = first_row(found, CARBURETTOR, CLIMB)
        lines = judge_lines(found, made_joint(found, [row], np.linspace(0.7, 0.9, COUNT)[:, None]))
        assert line_of(lines, "at the carburettor, 150").verdict is NOT_ADEQUATE
        assert line_of(lines, "at the carburettor, 100").verdict is ADEQUATE
        assert line_of(lines, "at the carburettor, 100").least_low == pytest.approx(1.5 * 0.71)

    def test_percentages_are_rounded_down(self):
        found = swept()
        flow = np.where(found.table.purpose == CLIMB, 0.99999 * found.table.required, found.flow)
        line = line_of(judge_lines(replace(found, flow=flow), None), "open line")
        assert line.verdict is NOT_ADEQUATE
        assert "flow is 99.9 % of the required (nominal values)" in all_told(line.reasons)


class TestOverall:
    def test_scenarios_that_fail_in_turn_fall_short_together(self):
        """Each line meets the requirement in 96 of 100 draws, both together only in 92."""
        found = swept_pair()
        rows = [first_row(found, OPEN_LINE, CLIMB), first_row(found, CARBURETTOR, CLIMB)]
        ratio = np.full((COUNT, 2), 1.2)
        ratio[: COUNT // 25, 0] = 0.9
        ratio[COUNT // 25 : 2 * COUNT // 25, 1] = 0.9
        joint = made_joint(found, rows, ratio)
        lines = judge_lines(found, joint)
        assert {line.verdict for line in lines} == {ADEQUATE}
        whole = overall(found, joint, lines)
        assert whole.verdict is CANNOT_TELL
        assert whole.words == "cannot tell"
        assert "taken together" in told(whole.reasons[0])

    def test_open_line_only(self):
        found = swept()
        whole = overall(found, None, judge_lines(found, None))
        assert whole.words == "adequate, open line only"
        assert whole.settle == ""
        found = swept_pair()
        assert overall(found, None, judge_lines(found, None)).words == "adequate"

    def test_the_gravest_line_names_the_deciding_scenario(self):
        found = swept()
        judged = int(np.flatnonzero(found.table.purpose[found.judged_rows] == UNUSABLE)[2])
        changed = with_state(found, judged, air_margin=-0.01)
        whole = overall(changed, None, judge_lines(changed, None))
        assert whole.verdict is NOT_ADEQUATE
        assert whole.deciding == found.judged_rows[judged]
        assert all_told(whole.reasons) == (
            "declared unusable fuel, full-power burn: air is drawn through an uncovered outlet at "
            "the required flow or less",
        )

    def test_the_measurement_that_settles_it(self):
        """The margin is made to follow one input: that one is to be measured."""
        found = swept()
        row = first_row(found, OPEN_LINE, CLIMB)
        for count in (2048, 64):  # enough draws for a fit; with few, by rank
            draws = draw(found.assembly, count, 3)
            column = 5
            ratio = 0.8 + 0.4 * draws.values[:, [column]]
            joint = JointResult(rows=np.array([row]), full=ratio, trapped=ratio, draws=draws)
            assert settling_measurement(joint) == draws.inputs[column].measurement
            whole = overall(found, joint, judge_lines(found, joint))
            assert whole.verdict is CANNOT_TELL
            assert whole.settle == draws.inputs[column].measurement
            assert whole.contributions[0].name == draws.inputs[column].name
            assert whole.contributions[0].rank_correlation == pytest.approx(1.0)
        flat = np.ones((64, 1))
        joint = replace(joint, full=flat, trapped=flat)
        assert settling_measurement(joint) == ""


class TestJoint:
    def test_progress_counts_to_the_end(self):
        found = swept()
        seen: list[tuple[str, int, int]] = []
        joint_result(found, draw(found.assembly, 8, 1), lambda *said: seen.append(said))
        count = len(found.judged_rows)
        assert seen[0] == ("drawing", 0, count)
        assert seen[-1] == ("drawing", count, count)
        assert [done for _, done, _ in seen] == sorted(done for _, done, _ in seen)

    def test_scenarios_that_failed_are_not_drawn(self):
        found = swept()
        flow = np.where(found.table.purpose == CLIMB, np.nan, found.flow)
        joint = joint_result(replace(found, flow=flow), draw(found.assembly, 8, 1))
        assert CLIMB not in found.table.purpose[joint.rows]
        assert {purpose for _, purpose in joint.far} == {UNUSABLE, RUN}


def test_one_record_is_that_of_all() -> None:
    found = swept()
    row = int(found.judged_rows[0])
    record = scenario_result(found, None, row)
    assert record.index == row
    assert record.judged
    assert record.flow == found.flow[row]


def test_losses_of_a_still_scenario_are_none() -> None:
    found = swept()
    solution = found.delivery.solution
    still = replace(solution, flow=np.zeros_like(solution.flow))
    assert loss_paths_of(found.assembly, found.situation, still, 0) == ()


def test_the_regime_of_each_pipe_is_named() -> None:
    """Hagen-Poiseuille up to Re 1900, Colebrook from 2300, and between them the transition."""
    found = swept()
    base = found.delivery.solution
    pipe = next(p.part for p in found.assembly.network.placed if isinstance(p.part, Pipe))
    viscosity = float(found.situation.kinematic_viscosity[0])
    said = set()
    for reynolds in (1000.0, 2100.0, 4000.0):
        flow = np.full_like(base.flow, reynolds * viscosity * np.pi * pipe.bore / 4)
        (path,) = loss_paths_of(found.assembly, found.situation, replace(base, flow=flow), 0)
        row = next(row for row in path.rows if row.part == pipe.name)
        assert row.reynolds == pytest.approx(reynolds)
        said.add(row.law)
    assert said == {"friction, laminar", "friction, transition", "friction, turbulent"}

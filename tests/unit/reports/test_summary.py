"""The first page has the worst of everything that decides; the summary has two pages."""

import json
from dataclasses import replace

import pytest
import typst

from flowsim.document.blocks import Table, Words
from flowsim.document.words.telling import told
from flowsim.reports.pages.first_screen import causes
from flowsim.reports.pages.hand_check import hand_check_text
from flowsim.reports.render.pdf import PAPERS, TEMPLATES, summary_content
from flowsim.reports.sections.build import build_report
from flowsim.reports.sections.summary import MOST_PARTS, condensed
from flowsim.reports.words.scenarios import scenario_pairs
from flowsim.reports.words.units import mass_flow_words, ratio_words
from flowsim.studies.report.collect import Outcome
from flowsim.studies.result import Topic, Verdict
from tests.support.report_cases import CASE, CASES, DATE, quick_study, report_of, study_of
from tests.support.value_cases import read

NAMES = sorted(path.parent.name for path in CASES.glob("*/case.toml"))


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", NAMES)
def test_it_has_two_pages(name, paper):
    content = summary_content(report_of(name), paper)
    pages = typst.compile(
        TEMPLATES / "summary.typ",
        format="svg",
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(content)},
    )
    assert len(pages) == 2


@pytest.mark.parametrize("name", NAMES)
def test_small_parts_are_put_together_and_lose_nothing(name):
    for path in study_of(name).check.losses:
        short = condensed(path)
        assert len(short.rows) <= MOST_PARTS + len({row.line for row in path.rows})
        assert sum(row.loss for row in short.rows) == pytest.approx(
            sum(row.loss for row in path.rows), rel=1e-12
        )


@pytest.mark.parametrize("name", NAMES)
def test_the_first_page_names_each_thing_that_decides_with_its_word(name):
    result, report = study_of(name).check, report_of(name)
    decided = next(block for block in report.sections[0].blocks if isinstance(block, Table))
    assert [row[0] for row in decided.rows] == [
        told(d.name) for d in result.decisions if not d.informs
    ]
    worst = {"adequate": 0, "open line only": 0, "cannot tell": 1, "not adequate": 2}
    found = max(worst[row[1]] for row in decided.rows)
    assert found == worst[report.verdict.value]
    assert report.summary[0].blocks[0] in report.sections[0].blocks


def test_too_little_declared_unusable_fuel_is_on_the_first_page():
    text = (CASES / "four-outlets" / "case.toml").read_text(encoding="utf-8")
    assert text.count('unusable = "6 L"') >= 1
    study = quick_study(read(text.replace('unusable = "6 L"', 'unusable = "0.2 L"')))
    assert study.check.verdict is not Verdict.ADEQUATE
    topics = {d.topic for d in study.check.decisions if d.verdict is Verdict.NOT_ADEQUATE}
    assert Topic.UNUSABLE_FUEL in topics
    assert build_report(study, date=DATE, case=CASE).verdict.value == "not adequate"


def test_the_first_page_does_not_blame_the_flow_for_what_else_decides():
    study = study_of("four-outlets")
    *kept, last = study.check.decisions
    assert last.topic is not Topic.FLOW
    bad = replace(last, verdict=Verdict.NOT_ADEQUATE, remedy="mend it", informs=False)
    check = replace(study.check, verdict=bad.verdict, decisions=(*kept, bad))
    report = build_report(replace(study, check=check), date=DATE, case=CASE)
    assert report.verdict.value == "not adequate"
    assert (
        "the required flow arrives, but something else that decides is not adequate"
        in report.verdict.says
    )


def test_where_air_is_held_every_page_leads_with_the_flow_that_counts():
    """Full lines carry 143 % there, and the check counts 60.9 %: nobody reads the former first."""
    study = study_of("humps")
    result, scenario = study.check, study.check.deciding_scenario
    assert scenario.flow_trapped < scenario.required < scenario.flow
    counted = ratio_words(scenario.flow_trapped / scenario.required)
    rows = dict(scenario_pairs(scenario, result, result.requirement.burn))
    assert rows["flow"].startswith(f"{3600.0 * scenario.flow_trapped:.1f} kg/h")
    assert f"full lines: {3600.0 * scenario.flow:.1f} kg/h" in rows["flow"]
    assert "lines full of fuel" in rows["head left over"]
    assert f"required: {counted} of it" in rows["against"]
    sheet = hand_check_text(study.system, result, scenario, result.losses, "x.toml", width=100)
    lead = sheet.splitlines()[3]
    assert lead.startswith(f"{mass_flow_words(scenario.flow_trapped)} arrives with air held in")
    assert f"{counted} of the required" in lead
    (flow,) = (text for text in causes(result, "x.toml") if "Cause: air behind" in text)
    assert "lead the line so that it falls" in flow
    assert "uncertainty ranks" not in flow


def test_a_flow_at_which_air_begins_is_not_called_that_of_the_working_by_hand():
    study = study_of("one-tank")
    scenario = study.check.deciding_scenario
    limited = replace(scenario, flow=0.25 * scenario.solved_flow, air_drawn=True)
    text = hand_check_text(study.system, study.check, limited, study.check.losses, "x.toml")
    assert "before air is drawn" in " ".join(text.split())
    assert "full lines would carry" in " ".join(text.split())


class TestWithReadings:
    def report(self, *, passed, after=Verdict.ADEQUATE, before=Verdict.ADEQUATE, distrust=""):
        study = study_of("four-outlets")
        fitted = _Fitted(
            passed=passed,
            pass_words="said of the mark",
            after=replace(study.check, verdict=after),
            distrust=distrust,
        )
        study = replace(
            study,
            check=replace(study.check, verdict=before),
            tested=Outcome(result=fitted),
        )
        return build_report(study, date=DATE, case=CASE)

    def test_a_missed_mark_leads(self):
        assert self.report(passed=False).verdict.value == "not adequate"

    def test_the_corrected_case_leads(self):
        report = self.report(passed=True)
        assert report.verdict.value == "adequate"
        for first in (report.sections[0], report.summary[0]):
            (said,) = (
                block.text
                for block in first.blocks
                if isinstance(block, Words) and block.text.startswith("Ground test: ")
            )
            # The other pages are of the case as stated: two figures of two cases.
            assert "is of the case as stated, before the test" in said
        assert self.report(passed=True, after=Verdict.CANNOT_TELL).verdict.value == "cannot tell"

    @pytest.mark.parametrize(
        ("before", "word"),
        [
            (Verdict.ADEQUATE, "cannot tell"),
            (Verdict.CANNOT_TELL, "cannot tell"),
            (Verdict.NOT_ADEQUATE, "not adequate"),
        ],
    )
    def test_readings_that_do_not_fit_the_case_never_comfort(self, before, word):
        """A container in a wrong unit bends the case until it is adequate: nothing rests on it."""
        report = self.report(passed=True, before=before, distrust="the system differs; find out")
        assert report.verdict.value == word
        first = [block.text for block in report.sections[0].blocks if isinstance(block, Words)]
        (said,) = (text for text in first if text.startswith("Ground test: "))
        assert "the system differs; find out" in said
        assert "as the readings corrected it" not in said
        assert "the case as stated" in said

    def test_readings_that_could_not_be_used_are_no_pass(self):
        study = replace(
            study_of("four-outlets"), tested=Outcome(result=None, why_not="they contradict")
        )
        assert study.check.verdict is Verdict.ADEQUATE
        report = build_report(study, date=DATE, case=CASE)
        assert report.verdict.value == "cannot tell"


class _Fitted:
    """What the first page asks of a fit."""

    def __init__(self, **given):
        self.__dict__.update(given)

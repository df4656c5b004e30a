"""What the report says of service: transfer between full tanks, slips with seconds, refilling."""

import re
from dataclasses import replace
from functools import cache

import pytest

from flowsim.document.blocks import Bullets, Heading, Pairs, Table, Words
from flowsim.document.words.telling import all_told
from flowsim.files.case.reader import read_case, read_case_text
from flowsim.files.results.report_model import Report
from flowsim.measures import VOLUME
from flowsim.reports.sections.build import build_report
from flowsim.studies.flight.transfer import TransferRow, transfer
from flowsim.studies.ground_test.plan import plan
from flowsim.studies.report.collect import Outcome
from flowsim.studies.result import Topic
from flowsim.studies.unusable.slip import slip_rows
from flowsim.studies.unusable.study import unusable_fuel
from tests.support.report_cases import CASE, CASES, DATE, LEFT_OUT, quick_study, study_of


def under(report: Report, section: str, title: str) -> list:
    """Give the blocks of a section below a heading, to the next one."""
    blocks = list(next(s for s in report.sections if s.name == section).blocks)
    starts = [i for i, b in enumerate(blocks) if isinstance(b, Heading) and b.text == title]
    assert len(starts) == 1, title
    after = blocks[starts[0] + 1 :]
    ends = (i for i, b in enumerate(after) if isinstance(b, Heading))
    return after[: next(ends, len(after))]


@cache
def rows_of(name: str) -> tuple[TransferRow, ...]:
    return transfer(read_case(CASES / name / "case.toml"))


def with_transfer(name: str) -> Report:
    """The report of a bundled case with its transfer."""
    study = study_of(name)
    found = replace(
        study,
        unusable=Outcome(result=unusable_fuel(study.system)),
        transfers=Outcome(result=rows_of(name)),
    )
    return build_report(found, date=DATE, case=CASE)


def test_joined_full_tanks_run_over_as_the_study_says():
    rows = rows_of("four-outlets")
    assert any(row.overflows for row in rows)
    blocks = under(with_transfer("four-outlets"), "unusable", "Transfer between full tanks")
    (table,) = [block for block in blocks if isinstance(block, Table)]
    assert [row[0] for row in table.rows] == [row.situation for row in rows]
    over = next(i for i, c in enumerate(table.columns) if c.name.startswith("over "))
    assert [row[over] for row in table.rows] == [VOLUME.cell(sum(r.overflow), 2) for r in rows]
    said = " ".join(block.text for block in blocks if isinstance(block, Words))
    assert "A vent overflows." in said
    assert "14 CFR 23.957" in said


def test_nothing_joined_nothing_runs_over():
    blocks = under(with_transfer("one-tank"), "unusable", "Transfer between full tanks")
    assert not [block for block in blocks if isinstance(block, Table)]
    assert "nothing can run over" in blocks[0].text


def test_without_the_study_it_says_why():
    found = replace(
        study_of("one-tank"),
        unusable=Outcome(result=unusable_fuel(study_of("one-tank").system)),
        transfers=Outcome(result=None, why_not=LEFT_OUT),
    )
    report = build_report(found, date=DATE, case=CASE)
    blocks = under(report, "unusable", "Transfer between full tanks")
    assert (blocks[0].tone, LEFT_OUT in blocks[0].text) == ("warning", True)


@pytest.mark.parametrize(("seconds", "word"), [("0.5 s", "adequate"), ("10 min", "not adequate")])
def test_slips_stand_with_the_seconds_that_the_lines_hold(seconds, word):
    text = (CASES / "humps" / "case.toml").read_text(encoding="utf-8")
    given = f'\n[routing]\nslip = "12 deg"\nslip_time = "{seconds}"\nslip_fuel = "4 L"\n'
    system = read_case_text(text + given, "case.toml")
    study = replace(quick_study(system), unusable=Outcome(result=unusable_fuel(system)))
    (bullets,) = under(build_report(study, date=DATE, case=CASE), "unusable", "Slips")
    assert isinstance(bullets, Bullets)
    (said,) = bullets.items
    rows = slip_rows(study.assembly)
    held = [int(s) for s in re.findall(r"the lines hold (\d+) s of it", said)]
    assert held == [round(row.seconds) for row in rows]
    decision = next(d for d in study.check.decisions if d.topic is Topic.SLIP)
    assert decision.verdict == word
    assert ("(slip_time)" in said) is (word != "adequate")


@pytest.mark.parametrize("name", ["one-tank", "humps"])
def test_the_card_asks_for_a_run_after_draining_and_refilling(name):
    study = study_of(name)
    found = replace(study, plan=Outcome(result=plan(study.system, draws=64)))
    report = build_report(found, date=DATE, case=CASE)
    words, read = under(report, "card", "Air left by refilling")
    assert isinstance(read, Pairs)
    assert "drain tanks and lines until nothing comes, refill through the caps" in words.text
    assert "It must meet the mark as well" in words.text
    humps = all_told(study_of(name).check.deciding_scenario.humps)
    assert ("This estimate finds air behind" in words.text) is bool(humps)
    assert all(hump in words.text for hump in humps)

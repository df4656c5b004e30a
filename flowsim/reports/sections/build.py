"""From the studies to the report as data: every section in its order, none left out."""

from collections.abc import Callable

from flowsim.document.blocks import Words
from flowsim.document.words.standing import ALWAYS
from flowsim.files.results.check_json import check_object, versions
from flowsim.files.results.report_model import FileUsed, Report, Section, VerdictSaid
from flowsim.measures import is_metric
from flowsim.reports.sections.answer import answer_section, verdict_of
from flowsim.reports.sections.assumed import assumed_section, required_section
from flowsim.reports.sections.closing import (
    cautions_section,
    made_section,
    notes_section,
    references_section,
)
from flowsim.reports.sections.flow import flow_section, margin_section, try_section
from flowsim.reports.sections.head import hand_section, head_section, pressure_section
from flowsim.reports.sections.kit import gap
from flowsim.reports.sections.studies import (
    air_section,
    card_section,
    routing_section,
    spread_section,
    tested_section,
    unusable_section,
    vapour_section,
    what_if_section,
)
from flowsim.reports.sections.summary import summary_sections
from flowsim.reports.sections.system import system_section
from flowsim.reports.sections.tries import tries
from flowsim.studies.report.collect import ReportStudy, attempt

Provider = Callable[[ReportStudy], Section]

PROVIDERS: tuple[tuple[str, str, Provider], ...] = (
    ("assumed", "Assumptions, the unmeasured first", assumed_section),
    ("required", "Required flow and attitudes", required_section),
    ("system", "The system", system_section),
    ("flow", "Flow against pitch", flow_section),
    ("try", "One attitude at a time", try_section),
    ("margin", "Margin over pitch and quantity", margin_section),
    ("head", "Where the head goes", head_section),
    ("pressure", "Pressure along the way", pressure_section),
    ("air", "Uncovered outlets and air", air_section),
    ("vapour", "Vapour margin and hot fuel", vapour_section),
    ("unusable", "Unusable fuel", unusable_section),
    ("routing", "How the lines are laid", routing_section),
    ("spread", "How sure, and what the spread comes from", spread_section),
    ("what-if", "What if", what_if_section),
    ("card", "Ground test: the card", card_section),
    ("tested", "Ground test: what was read", tested_section),
    ("hand", "Hand-check sheet", hand_section),
    ("references", "Sources", references_section),
    ("cautions", "Cautions", cautions_section),
)


def build_report(
    study: ReportStudy, *, date: str, case: FileUsed, readings: FileUsed | None = None
) -> Report:
    """Make the report's data.

    Parameters
    ----------
    study : ReportStudy
    date : str
        As it is to stand in the report, such as 2026-01-31.
    case, readings : FileUsed
        What it rests on.

    Returns
    -------
    Report
        A section that fails says so; the answer names the sections without a result.
    """
    answer = ("answer", "The answer", lambda known: answer_section(known, case.file))
    made = [_provided(study, *provider) for provider in (answer, *PROVIDERS)]
    made += [made_section(study, date, case, readings), notes_section(study)]
    check = check_object(study.system, study.check, case.file, case.sha256)
    check.pop("scenarios")
    shown = attempt(lambda: tries(study))
    value, words, says = verdict_of(study)
    return Report(
        title=study.check.title,
        date=date,
        units="metric" if is_metric() else "us",
        case=case,
        readings=readings,
        verdict=VerdictSaid(value=value.value, words=words, says=says),
        standing=ALWAYS,
        sections=tuple(_with_gaps(made)),
        summary=summary_sections(study, case.file),
        tries=shown.result,
        check=check,
        versions=versions(),
    )


def _provided(study: ReportStudy, name: str, title: str, provider: Provider) -> Section:
    outcome = attempt(lambda: provider(study))
    return outcome.result if outcome.result is not None else gap(name, title, outcome.why_not)


def _with_gaps(sections: list[Section]) -> list[Section]:
    """Name on the first page the sections that have no result."""
    missing = [section.title for section in sections if not section.complete]
    if not missing:
        return sections
    words = Words(text=f"Sections without a result: {', '.join(missing)}.", tone="warning")
    first = sections[0]
    return [first.model_copy(update={"blocks": (words, *first.blocks)}), *sections[1:]]

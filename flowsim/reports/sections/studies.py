"""What the other studies found, in the words that their own commands print."""

import math
from collections.abc import Iterable

from flowsim.document.blocks import Block, Bullets, Figure, Heading, Words
from flowsim.document.document import About
from flowsim.document.pictures import Ranking, RankRow
from flowsim.document.words.telling import all_told, capital, once_told, told
from flowsim.files.results.check_json import all_cautions
from flowsim.files.results.report_model import Section
from flowsim.measures import PRESSURE, TEMPERATURE
from flowsim.reports.pages.check_limits import limits
from flowsim.reports.pages.fit import fit_document
from flowsim.reports.pages.flight import transfer_blocks
from flowsim.reports.pages.ground_test_card import card_document
from flowsim.reports.pages.routing import routing_document
from flowsim.reports.pages.uncertainty import uncertainty_document
from flowsim.reports.pages.unusable import unusable_cautions, unusable_document
from flowsim.reports.pages.what_if import what_if_document
from flowsim.reports.sections.kit import gap, section, table
from flowsim.reports.words.scenarios import short_name
from flowsim.studies.report.collect import ReportStudy
from flowsim.studies.result import ScenarioResult, Topic
from flowsim.studies.review.remarks import assumptions
from flowsim.studies.saying import Said

REPEATED = (About.HEAD, About.ASSUMPTIONS, About.CAUTIONS)
"""Said once for the whole report."""
RANKED = 10


def air_section(study: ReportStudy) -> Section:
    """Say which outlets uncover, and where air is drawn or trapped."""
    return section("air", "Uncovered outlets and air", limits(study.check)[About.AIR])


def vapour_section(study: ReportStudy) -> Section:
    """Give the margin against boiling, for each selector position and fuel temperature."""
    least: dict[tuple[str, float], ScenarioResult] = {}
    for scenario in study.check.scenarios:
        key = (scenario.selector, scenario.temperature)
        known = least.get(key)
        if not scenario.judged or not math.isfinite(scenario.vapour_margin):
            continue
        if known is None or scenario.vapour_margin < known.vapour_margin:
            least[key] = scenario
    rows = [
        (
            selector,
            TEMPERATURE.cell(temperature, 1),
            PRESSURE.cell(scenario.vapour_margin, 1),
            short_name(scenario),
        )
        for (selector, temperature), scenario in least.items()
    ]
    blocks = limits(study.check)[About.VAPOUR]
    if rows:
        names = ["selector", f"#{TEMPERATURE.name}", f"#{PRESSURE.name} over vapour", "at"]
        blocks.append(table(names, rows, caption="Least margin of the judged scenarios"))
    return section("vapour", "Vapour margin and hot fuel", blocks)


def unusable_section(study: ReportStudy) -> Section:
    """Give the unusable fuel by tank and attitude, header tanks and blocked vents."""
    title = "Unusable fuel"
    result = study.unusable.result
    judged = limits(study.check)[About.UNUSABLE]
    if result is None:
        missing = gap("unusable", title, study.unusable.why_not)
        return missing.model_copy(update={"blocks": (*judged, *missing.blocks)})
    words = (assumptions(study.system), unusable_cautions(study.system, result))
    document = unusable_document(
        study.system, result, study.headers.result or (), study.vents.result or (), words, ""
    )
    blocks = [
        Heading(text="Declared unusable fuel, as judged"),
        *judged,
        *document.without(*REPEATED),
        *(_why_not("Header tanks", study.headers.why_not)),
        *(_why_not("Blocked vents", study.vents.why_not)),
        *_slips(study),
        *_transfer(study),
        *_further(study, words[0], words[1]),
    ]
    return section("unusable", title, blocks)


def _slips(study: ReportStudy) -> list[Block]:
    """Say what fuel a slip needs, and for how many seconds the lines feed without it."""
    slips = [d for d in study.check.decisions if d.topic is Topic.SLIP]
    items = tuple(
        f"{told(d.found)}. {capital(d.remedy)}." if d.remedy else f"{told(d.found)}." for d in slips
    )
    return [Heading(text="Slips"), Bullets(items=items)] if items else []


def _transfer(study: ReportStudy) -> list[Block]:
    """Say what runs over where lines join full tanks."""
    title = Heading(text="Transfer between full tanks")
    if study.transfers.result is None:
        return [title, *_why_not("Transfer", study.transfers.why_not)]
    return [title, *transfer_blocks(study.transfers.result)]


def routing_section(study: ReportStudy) -> Section:
    """Give the routing study's findings and tables."""
    title = "How the lines are laid"
    result = study.routing.result
    if result is None:
        return gap("routing", title, study.routing.why_not)
    blocks = routing_document(result, "").without(*REPEATED)
    blocks += _further(study, result.assumptions, result.cautions)
    return section("routing", title, blocks)


def spread_section(study: ReportStudy) -> Section:
    """Say how sure the answer is, and what the spread comes from."""
    title = "How sure, and what the spread comes from"
    result = study.spread.result
    if result is None:
        return gap("spread", title, study.spread.why_not)
    blocks: list[Block] = []
    if result.shares:
        shown = result.shares[:RANKED]
        said = "; ".join(f"{told(item.name)} {100 * item.share:.0f} %" for item in shown)
        rows = tuple(
            RankRow(
                name=told(item.name),
                share_percent=round(100 * item.share, 2),
                error_percent=round(100 * item.error, 2),
            )
            for item in shown
        )
        blocks.append(
            Figure(
                caption="Share of the spread of the least margin that would go if each were known.",
                alt=f"Ranking: {said}.",
                picture=Ranking(rows=rows),
            )
        )
    blocks += uncertainty_document(result, "", letters=False).without(*REPEATED)
    return section("spread", title, blocks)


def what_if_section(study: ReportStudy) -> Section:
    """Give the matrix of what-ifs."""
    title = "What if"
    result = study.what_ifs.result
    if result is None:
        return gap("what-if", title, study.what_ifs.why_not)
    basis = (
        f"{result.draws} Monte Carlo draws for each (seed {result.seed})."
        if result.draws
        else "Single values only."
    )
    blocks = what_if_document(result, "").without(*REPEATED)
    return section("what-if", title, [Words(text=basis), *blocks])


def card_section(study: ReportStudy) -> Section:
    """Give the ground test's card."""
    title = "Ground test: the card"
    if study.plan.result is None:
        return gap("card", title, study.plan.why_not)
    document = card_document(study.system, study.plan.result, "")
    return section("card", title, document.without(*REPEATED))


def tested_section(study: ReportStudy) -> Section:
    """Give what the readings say, or that there are none."""
    title = "Ground test: what was read"
    fitted = study.tested.result
    if fitted is None and study.tested.why_not:
        return gap("tested", title, study.tested.why_not)
    if fitted is None:
        words = (
            "No readings were given. After the test: flowsim report CASE --readings FILE. Until "
            "then the answer rests on the case alone."
        )
        return section("tested", title, [Words(text=words, tone="warning")])
    blocks = fit_document(fitted, "", "", None).without(*REPEATED)
    return section("tested", title, [*blocks, *_further(study, (), fitted.cautions)])


def _why_not(name: str, why: Said) -> list[Block]:
    return [Words(text=f"{name}: there is no result: {told(why)}.", tone="warning")] if why else []


def _further(study: ReportStudy, assumed: Iterable[Said], cautions: Iterable[Said]) -> list[Block]:
    """Give assumptions and cautions that stand nowhere else in the report."""
    known = {*all_told(study.check.assumptions), *all_cautions(study.check.cautions)}
    blocks: list[Block] = []
    for title, items in (("Assumed here as well", assumed), ("Cautions here", cautions)):
        new = tuple(item for item in once_told(items) if item not in known)
        if new:
            blocks += [Heading(text=title), Bullets(items=new)]
    return blocks

"""What ``flowsim check`` prints: the verdict first, then what it rests on."""

import math

from flowsim.document.blocks import Block
from flowsim.document.build import bullets, heading, pairs, paragraph
from flowsim.document.document import About, Document, cautions, passage
from flowsim.document.words.telling import told
from flowsim.files.results.check_json import all_cautions
from flowsim.measures import DENSITY, MASS_FLOW, TEMPERATURE, US_GALLON, VOLUME_FLOW, Units, shows
from flowsim.reports.pages.check_limits import limit_passages
from flowsim.reports.pages.loss_table import loss_tables
from flowsim.reports.pages.pitch_table import pitch_tables
from flowsim.reports.pages.unmeasured import assumption_parts, count_words, not_said_parts
from flowsim.reports.render.terminal import render
from flowsim.reports.words.scenarios import scenario_pairs, short_name
from flowsim.reports.words.units import (
    NO_RESULT,
    RUNS_BACK,
    clean,
    head_words,
    mass_flow_words,
    number,
    percent_words,
    ratio_span,
    ratio_words,
    share_words,
)
from flowsim.studies.adequacy.study import REFERENCE_TEMPERATURE
from flowsim.studies.result import AdequacyResult, Requirement, ResultLine, Verdict
from flowsim.studies.saying import Said
from flowsim.system.fuel_system import FuelSystem

LITRE = 0.001
"""[m3]"""
TWO_US_QUARTS = US_GALLON / 2.0
"""[m3]"""

_SAYS = {
    Verdict.ADEQUATE: "By this estimate the required flow arrives in every scenario that is "
    "judged. It is an estimate, not an approval; the ground test decides.",
    Verdict.NOT_ADEQUATE: "By this estimate the required flow does not arrive in every scenario "
    "that is judged. Do not fly on it; change the system or measure what is doubtful.",
    Verdict.CANNOT_TELL: "This estimate cannot tell whether the required flow arrives. That is no "
    "pass: settle it by the measurement named below.",
}

_BESIDE = {
    Verdict.NOT_ADEQUATE: "By this estimate the required flow arrives, but something else that "
    "decides is not adequate (below). Do not fly on it; change the system.",
    Verdict.CANNOT_TELL: "By this estimate the required flow arrives, but something else that "
    "decides cannot be told (below). That is no pass: do what is named there.",
}
"""Where every requirement on the flow is met and something else is not."""


def check_text(
    system: FuelSystem,
    result: AdequacyResult,
    case_file: str,
    *,
    width: int = 80,
    styled: bool = False,
    every_degree: bool = False,
) -> str:
    """Give the whole report of a check as text.

    Parameters
    ----------
    system : FuelSystem
        The system that was judged.
    result : AdequacyResult
        The answer.
    case_file : str
        The case file's name as it was given.
    width : int
        Columns, kept between 40 and 100.
    styled : bool
        Whether bold may be used.
    every_degree : bool
        Whether the table of pitch has a row for each degree, and every value without an origin is
        listed.

    Returns
    -------
    str
        Lines of ASCII but for names from the case.
    """
    document = check_document(system, result, case_file, width=width, every_degree=every_degree)
    return render(document, width, styled=styled)


def check_document(
    system: FuelSystem,
    result: AdequacyResult,
    case_file: str,
    *,
    width: int = 80,
    every_degree: bool = False,
) -> Document:
    """Give the whole report of a check; see ``check_text``."""
    found = passage(
        About.FOUND,
        _verdict(result),
        _deciding(result),
        _settling(result),
        _result_lines(result),
        _decisions(result),
        _requirement(result.requirement),
        heading("Flow against pitch"),
        pitch_tables(result, width, every_degree=every_degree),
        heading("Where the head goes in the deciding scenario"),
        loss_tables(result.losses, result.deciding_scenario),
    )
    not_said = not_said_parts(system) if every_degree else []
    return Document(
        title=clean(result.title),
        passages=(
            passage(About.HEAD, _head(result, case_file)),
            found,
            *limit_passages(result),
            passage(About.ASSUMPTIONS, assumption_parts(result), not_said),
            cautions(all_cautions(result.cautions)),
        ),
    )


def _head(result: AdequacyResult, case_file: str) -> Block:
    if result.draws:
        basis = f"{result.draws} Monte Carlo draws of what is uncertain (seed {result.seed})"
    else:
        basis = "single values only: no band was worked out, nothing is allowed for uncertainty"
    return pairs(
        [("case", case_file), ("judged on", basis), ("not measured", count_words(result))], 0
    )


def _verdict(result: AdequacyResult) -> list[Block]:
    return [
        heading(f"Verdict: {clean(result.verdict_words)}"),
        paragraph(says(result)),
        bullets(result.reasons),
    ]


def _deciding(result: AdequacyResult) -> list[Block]:
    rows = scenario_pairs(result.deciding_scenario, result, result.requirement.burn)
    for number_, name in enumerate(result.costliest):
        rows.append(("costs most head" if number_ == 0 else "", _costly(name, result)))
    return [heading("Deciding scenario"), pairs(rows)]


def _costly(name: Said, result: AdequacyResult) -> str:
    """Give a costly part with its costliest loss on any path."""
    rows = [row for path in result.losses for row in path.rows if row.part_of_line == name]
    if not rows:
        return told(name)
    dearest = max(rows, key=lambda row: row.loss)
    return f"{told(name)}: {head_words(dearest.loss)}, {share_words(dearest.share)}"


def _settling(result: AdequacyResult) -> list[Block]:
    if not result.settle:
        return []
    parts: list[Block] = [
        heading(
            "What would settle it"
            if result.verdict is Verdict.CANNOT_TELL
            else "What to measure next"
        ),
        paragraph(result.settle),
    ]
    strongest = sorted(
        (item for item in result.contributions if math.isfinite(item.rank_correlation)),
        key=lambda item: -abs(item.rank_correlation),
    )[:3]
    if strongest:
        parts.append(paragraph("The spread of the margin goes most with:"))
        parts.append(
            bullets(
                f"{told(item.name)} (rank correlation {item.rank_correlation:+.2f}): "
                f"{told(item.measurement)}"
                for item in strongest
            )
        )
    return parts


def _result_lines(result: AdequacyResult) -> list[Block]:
    parts: list[Block] = [heading("Each requirement")]
    for line in result.lines:
        parts.append(paragraph(f"{told(line.name)}: {line.verdict.value}"))
        parts.append(paragraph(_line_words(line), 4))
        parts.append(paragraph(f"Decided by {_scenario_name(result, line)}.", 4))
        if line.reasons:
            parts.append(bullets(line.reasons, 4))
    return parts


def says(result: AdequacyResult) -> str:
    """Say what the verdict means: of the flow, or of what else decides.

    Parameters
    ----------
    result : AdequacyResult

    Returns
    -------
    str
        Never that it is more than an estimate.
    """
    flows_are_met = all(line.verdict is Verdict.ADEQUATE for line in result.lines)
    decided = any(d.verdict is result.verdict and not d.informs for d in result.decisions)
    if result.verdict in _BESIDE and flows_are_met and decided:
        return _BESIDE[result.verdict]
    return _SAYS[result.verdict]


def _decisions(result: AdequacyResult) -> list[Block]:
    """Say what decides beside the flows, each with its own word and its remedy."""
    if not result.decisions:
        return []
    parts: list[Block] = [heading("What else decides")]
    for decision in result.decisions:
        word = "for information" if decision.informs else decision.verdict.value
        word = "open line only" if decision.open_line_only else word
        parts.append(paragraph(f"{told(decision.name)}: {word}"))
        parts.append(paragraph(f"{told(decision.found)}.", 4))
        if decision.remedy:
            parts.append(paragraph(f"What to do: {told(decision.remedy)}.", 4))
    return parts


def _line_words(line: ResultLine) -> str:
    """Say what arrives at least, against what is required."""
    needs = f"Needs {mass_flow_words(line.required)}. Least flow of the judged scenarios: "
    least = ratio_words(line.least_nominal)
    nominal = f"{least}{'' if least in (RUNS_BACK, NO_RESULT) else ' of it'} with nominal values"
    if line.least_low is None:
        return f"{needs}{nominal}."
    if line.least_low == math.inf:
        band = (
            f"{ratio_words(line.least_low)} in 95 % of the draws, how far over was not worked out"
        )
        return f"{needs}{nominal}; {band}. It is met in {percent_words(line.chance)} of the draws."
    band, middle = ratio_span(line.least_low, line.least_high), ratio_words(line.least_median)
    return (
        f"{needs}{nominal}; {band} (5 to 95 % of the draws), median {middle}. "
        f"It is met in {percent_words(line.chance)} of the draws."
    )


def _scenario_name(result: AdequacyResult, line: ResultLine) -> str:
    if not 0 <= line.deciding < len(result.scenarios):
        return "no scenario"
    return short_name(result.scenarios[line.deciding])


def _requirement(requirement: Requirement) -> list[Block]:
    required, density = requirement.required, requirement.density
    volume = required / density
    rows = [
        ("full-power burn", f"{MASS_FLOW.exact(requirement.burn)}: {requirement.basis}"),
        ("factor", f"{requirement.factor:.2f}"),
        (
            "required",
            f"{MASS_FLOW.exact(required)}, by mass, not rounded",
        ),
        (
            "as volume",
            f"{VOLUME_FLOW.exact(volume, 5)} at {density_at_15(density)}",
        ),
        (
            "as a test",
            fill_words(requirement),
        ),
    ]
    return [heading("Required flow"), pairs(rows)]


def density_at_15(density: float) -> str:
    """Give a density [kg/m3] that is that at 15 degC."""
    return f"{DENSITY.words(density, 1)} ({TEMPERATURE.words(REFERENCE_TEMPERATURE, 0)})"


def fill_words(requirement: Requirement) -> str:
    """Give the times in which the usual containers fill at the required flow."""
    containers = []
    if shows(Units.METRIC):
        containers.append(f"1 L in {seconds_to_fill(LITRE, requirement)} s or less")
    if shows(Units.US):
        containers.append(f"2 US quarts in {seconds_to_fill(TWO_US_QUARTS, requirement)} s or less")
    return "; ".join(containers)


def seconds_to_fill(volume: float, requirement: Requirement) -> str:
    """Give the longest time in which a container may fill, rounded down to a tenth.

    Parameters
    ----------
    volume : float
        Of the container [m3].
    requirement : Requirement
        The required flow and the density at which it is turned into volume.

    Returns
    -------
    str
        Seconds, or "no result".
    """
    if not requirement.required > 0.0:
        return number(math.nan, 1)
    seconds = volume * requirement.density / requirement.required
    return number(math.floor(seconds * 10.0) / 10.0 if math.isfinite(seconds) else seconds, 1)

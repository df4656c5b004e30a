"""What ``flowsim ground-test fit`` prints: the mark first, then what the readings teach."""

import math

from flowsim.document.blocks import Block
from flowsim.document.build import bullets, heading, pairs, paragraph, table
from flowsim.document.document import About, Document, cautions, passage
from flowsim.document.words.telling import told
from flowsim.files.results.check_json import all_cautions
from flowsim.measures import LENGTH, LITTLE, MASS_FLOW, PRESSURE
from flowsim.physics.air.leak_check import LEAST_PRESSURE, RELIEF_FACTOR, LeakResult
from flowsim.reports.pages.fit_drain import drain_blocks
from flowsim.reports.render.terminal import render
from flowsim.reports.words.card import BEFORE_FUEL
from flowsim.reports.words.scenarios import short_name
from flowsim.reports.words.units import (
    clean,
    head_words,
    mass_flow_cell,
    mass_flow_words,
    number,
    percent_words,
    ratio_words,
    share_words,
)
from flowsim.studies.ground_test.result import GroundTestFit, LearnedGroup, LearnedInput, RunResult
from flowsim.studies.result import AdequacyResult

NEVER = "never"
"""What stands for a time where nothing arrives; ``NEVER_WORDS`` is its key."""
NEVER_WORDS = '"never": by the case no flow arrives at the line\'s end, so nothing fills.'
NEARLY_HELD = 0.9
"""[-] Share of the pressure to hold that a gauge may be short of it at the start. Tag: common
practice."""
MOST_INPUTS = 12
"""Inputs shown, the most learned first."""
LEAST_LEARNED = 0.02
"""[-] Inputs of which less was learned are only counted."""


def fit_text(
    fitted: GroundTestFit,
    case_file: str,
    readings_file: str,
    written: str | None,
    *,
    width: int = 80,
    styled: bool = False,
) -> str:
    """Give the report of a fit as text.

    Parameters
    ----------
    fitted : GroundTestFit
    case_file, readings_file : str
        Names as they were given.
    written : str or None
        Name of the calibrated case, None where none was written.
    width : int
        Columns, kept between 40 and 100.
    styled : bool
        Whether bold may be used.

    Returns
    -------
    str
    """
    document = fit_document(fitted, case_file, readings_file, written)
    return render(document, width, styled=styled)


def fit_document(
    fitted: GroundTestFit, case_file: str, readings_file: str, written: str | None
) -> Document:
    """Give what the fit says, to be printed alone or in a larger report."""
    rows = [("case", case_file), ("readings", readings_file),
            ("calibrated case", written or _not_written(fitted))]  # fmt: skip
    found = passage(
        About.FOUND,
        heading(f"Mark: {clean(fitted.pass_words)}"),
        paragraph(
            f"Required {MASS_FLOW.exact(fitted.required)}, by mass. The least of the runs "
            "counts, not their mean."
        ),
        bullets(fitted.findings),
        _runs(fitted),
        _suggestions(fitted),
        drain_blocks(fitted.drains),
        _learned(fitted),
        _before_after(fitted),
        _granted(fitted),
    )
    told = all_cautions(fitted.cautions)
    return Document(
        title=clean(f"Ground test of {fitted.title}"),
        passages=(
            passage(About.HEAD, pairs(rows, 0)),
            found,
            cautions(told),
        ),
    )


def _granted(fitted: GroundTestFit) -> list[Block]:
    if not fitted.remarks:
        return []
    return [heading(f"Assumed ({len(fitted.remarks)})"), bullets(fitted.remarks)]


def _not_written(fitted: GroundTestFit) -> str:
    return f"not written: {told(fitted.distrust)}" if fitted.distrust else "not written"


def _runs(fitted: GroundTestFit) -> list[Block]:
    names = (
        "run",
        f"flow {MASS_FLOW.name}",
        "+-",
        "of required",
        "read s",
        "band s",
        "in it",
        "after s",
    )
    words = (
        "Band: 5 to 95 % of the times that the case predicts, the readings' errors included. "
        "+-: one standard deviation. After: by the corrected model."
    )
    rows = [_run_row(run) for run in fitted.runs]
    inside = sum(run.inside for run in fitted.runs)
    return [
        heading(f"Runs: {inside} of {len(fitted.runs)} inside the predicted band"),
        paragraph(words),
        table(names, rows),
        *([paragraph(NEVER_WORDS)] if any(NEVER in cell for row in rows for cell in row) else []),
        paragraph(_law_words(fitted)),
    ]


def _run_row(run: RunResult) -> tuple[str, ...]:
    return (
        run.reading.name,
        mass_flow_cell(run.flow, 2),
        MASS_FLOW.cell(run.flow_error, 2),
        ratio_words(run.ratio),
        number(run.reading.seconds, 1),
        _times(run.low, run.high),
        "yes" if run.inside else "NO",
        _time(run.after),
    )


def _times(low: float, high: float) -> str:
    if math.isnan(low + high) or low == math.inf:
        return _time(low + high)
    return f"{_time(low)}-{_time(high)}"


def _time(seconds: float) -> str:
    """Give a time to fill a container [s]; infinite where nothing arrives."""
    return NEVER if seconds == math.inf else number(seconds, 1)


def _law_words(fitted: GroundTestFit) -> str:
    gaps = [abs(run.law / run.expected - 1.0) for run in fitted.runs if run.expected > 0.0]
    usable = [gap for gap in gaps if gap < 10.0]
    if not usable:
        return "The expected friction law gives no times here."
    return (
        "The expected friction law, made to be compared with tests, gives times within "
        f"{number(100.0 * max(usable), 1)} % of the cautious law that is used for verdicts."
    )


def _suggestions(fitted: GroundTestFit) -> list[Block]:
    words: dict[str, list[str]] = {}
    for run in fitted.runs:
        for suggestion in run.suggests:
            words.setdefault(told(suggestion), []).append(run.reading.name)
    if not words:
        return [heading("Runs that do not fit: none")]
    parts: list[Block] = [heading("Runs that do not fit")]
    parts.append(bullets(f"run {', '.join(names)}: {text}" for text, names in words.items()))
    parts.append(
        paragraph(
            "They count for the mark all the same. A single run that its repeats contradict is "
            "left out of the correction; whole settings stay in it, for what repeats is real. "
            "Find the cause and repeat them before relying on the correction."
        )
    )
    return parts


def _learned(fitted: GroundTestFit) -> list[Block]:
    shown = [item for item in fitted.inputs if item.learned >= LEAST_LEARNED][:MOST_INPUTS]
    rest = len(fitted.inputs) - len(shown)
    names = ("what", "before", "after", "learned")
    rows = [
        (item.name, _band(item, item.before), _band(item, item.after), share_words(item.learned))
        for item in shown
    ]
    parts: list[Block] = [
        heading("What the test taught"),
        paragraph(
            "Factor on the stated loss, bore or coefficient: median (5 to 95 %). Learned: share of "
            "the variance that the test took away."
        ),
        table(names, rows),
        paragraph(f"Of {rest} others it taught less than {share_words(LEAST_LEARNED)} or little."),
    ]
    if fitted.groups:
        parts.append(paragraph("What it knows only together, and cannot tell apart:"))
        parts.append(bullets(_group_words(group) for group in fitted.groups))
    return parts


def _band(item: LearnedInput, values: tuple[float, float, float]) -> str:
    is_length = item.unit == "m"
    low, middle, high = (
        LENGTH.cell(value, 1) if is_length else number(value, 2) for value in values
    )
    return f"{middle}{f' {LENGTH.name}' if is_length else ''} ({low} to {high})"


def _group_words(group: LearnedGroup) -> str:
    members = ", ".join(f"{told(name)} ({weight:+.2f})" for name, weight in group.members)
    one = len(group.members) == 1
    text = "" if one else "a combination of "
    return f"{text}{members}: {percent_words(group.learned)} of its variance is taken away"


def _before_after(fitted: GroundTestFit) -> list[Block]:
    rows: list[tuple[str, ...]] = []
    for before, after in zip(fitted.before.lines, fitted.after.lines, strict=True):
        rows.append((told(before.name),))
        for when, line in (("before", before), ("after", after)):
            rows.append(
                (
                    f"  {when}: {line.verdict.value}",
                    *(
                        ratio_words(value)
                        for value in (line.least_low, line.least_median, line.least_high)
                    ),
                )
            )
    names = ("least flow of the judged scenarios", "5 %", "median", "95 %")
    doubt: list[Block] = []
    if fitted.distrust:
        doubt = [paragraph(f"Do not rely on the answer after: {told(fitted.distrust)}.")]
    return [
        heading("The answer before and after"),
        *doubt,
        paragraph("In percent of what each line requires, over the Monte Carlo draws."),
        table(names, rows),
        pairs([("before", _deciding(fitted.before)), ("after", _deciding(fitted.after))]),
    ]


def _deciding(result: AdequacyResult) -> str:
    scenario = result.deciding_scenario
    return (
        f"{result.verdict_words}; decided by {short_name(scenario)}: "
        f"{mass_flow_words(scenario.flow)}"
    )


WHERE_TO_LOOK = (
    "joints that were last undone; flared nuts, one flat at a time",
    "selector stem and its ports, each position; drain valves and their seats",
    "sediment bowl or strainer gasket, union nuts behind panels, hose ends and clamps",
    "the test hose, plugs and gauge themselves: pinch them off and watch again",
)
"""Where to look first (common practice, no source)."""


def leak_text(
    title: str,
    head: float,
    pressure: float,
    least_seconds: float | None,
    result: LeakResult | None,
    *,
    width: int = 80,
    styled: bool = False,
) -> str:
    """Give the leak check as text.

    Parameters
    ----------
    title : str
        Of the case.
    head, pressure : float
        Largest head [m] and pressure to hold [Pa].
    least_seconds : float or None
        [s] Least time for the gauge; None where the gauge is not known.
    result : LeakResult or None
        What a fall of pressure was made of; None where no readings were given.
    width, styled
        As in ``fit_text``.

    Returns
    -------
    str
    """
    hold = PRESSURE.words(pressure, 1)
    limit = PRESSURE.words(RELIEF_FACTOR * pressure, 1)
    rows = [
        ("largest head", head_words(head)),
        ("pressure", f"{hold}: 1.5 times the fuel's pressure there, at least "
         f"{PRESSURE.words(LEAST_PRESSURE, 1)} (common practice, no source)"),
        ("never above", f"{limit}, where the relief valve opens, nor the rating of the weakest "
         "part (common practice, no source)"),
        ("least time", "give --volume and --division" if least_seconds is None
         else f"{number(least_seconds, 0)} s: a leak of {LITTLE.significant(1e-6, 2)} of air a "
              "minute then moves the gauge by two divisions"),
    ]  # fmt: skip
    answer = f"Hold {hold} with air, before any fuel" if result is None else _leak_answer(result)
    found = [] if result is None else [*_held_low(result, pressure), *_leak_rows(result)]
    document = Document(
        title=clean(f"Leak check of {title}"),
        passages=(
            passage(About.FOUND, heading(answer), found, heading("What to hold"), pairs(rows)),
            passage(About.FOUND, heading("Before it"), bullets(BEFORE_FUEL)),
            passage(About.FOUND, heading("Where to look first"), bullets(WHERE_TO_LOOK)),
            cautions(all_cautions(())),
        ),
    )
    return render(document, width, styled=styled)


def _doubtful(result: LeakResult) -> bool:
    """Tell whether what is left of the fall is less than twice its uncertainty."""
    return abs(result.by_leak) < 2.0 * result.uncertainty


def _leak_answer(result: LeakResult) -> str:
    """Say in one line what the readings show."""
    if _doubtful(result):
        least = LITTLE.significant(60.0 * result.hidden, 2)
        return f"By these readings: no leak above {least} of air a minute"
    if result.by_leak < 0.0:
        return "By these readings: the pressure rose; check them"
    return f"By these readings: a leak of {_leak(result)} of air a minute"


def _held_low(result: LeakResult, pressure: float) -> list[Block]:
    """Say that less was held than is asked for: the smaller the pressure, the smaller the leak."""
    if result.held >= NEARLY_HELD * pressure:
        return []
    held, asked = (PRESSURE.words(value, 1) for value in (result.held, pressure))
    words = f"Only {held} was held, not {asked}: that does not show the lines tight. Repeat it."
    return [paragraph(words)]


def _leak(result: LeakResult) -> str:
    return LITTLE.significant(60.0 * result.leak, 2)


def _leak_rows(result: LeakResult) -> list[Block]:
    def pascal(value: float) -> str:
        return PRESSURE.words(value, 3)

    doubtful = _doubtful(result)
    words = (
        "The fall that is left is less than twice its uncertainty: no leak is shown, and a smaller "
        "one is not ruled out. Wait longer at a steady temperature."
        if doubtful
        else "Temperature and weather do not explain the fall: look for the leak."
    )
    if not doubtful and result.by_leak < 0.0:
        words = "The pressure rose by more than temperature explains: check the readings."
    return [
        paragraph(words),
        heading("What the fall was made of"),
        pairs([
            ("fall of the gauge", pascal(result.drop)),
            ("by temperature", f"{pascal(result.by_temperature)}: p T2/T1, ideal gas"),
            ("by the weather", f"{pascal(result.by_ambient)}: the barometer moved"),
            ("left for a leak", f"{pascal(result.by_leak)}, +- {pascal(result.uncertainty)}"),
            ("leak", f"{_leak(result)} of air a minute at ambient pressure"),
        ]),
    ]  # fmt: skip

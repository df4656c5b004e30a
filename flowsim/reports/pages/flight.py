"""What ``flowsim flight`` prints: what went wrong first, then phases, events and the balance."""

import math
from collections.abc import Sequence

from flowsim.document.blocks import Block
from flowsim.document.build import bullets, heading, pairs, paragraph, table
from flowsim.document.document import About, Document, cautions, passage
from flowsim.document.words.standing import ALWAYS
from flowsim.document.words.telling import told
from flowsim.files.units import shown as to
from flowsim.measures import ALTITUDE, MASS, MASS_FLOW, PRESSURE, TEMPERATURE, VOLUME
from flowsim.reports.pages.of_the_case import of_the_case
from flowsim.reports.render.terminal import render
from flowsim.reports.words.units import BACK, clean, key_of_back, number, volume_words
from flowsim.studies.flight.result import (
    OVERFLOW,
    PHASE,
    STARVED,
    FlightEvent,
    FlightResult,
    Percentiles,
    PhaseSummary,
)
from flowsim.studies.flight.transfer import TransferRow
from flowsim.studies.judged.sweep import VAPOUR_DOUBT
from flowsim.system.profile import Phase


def flight_text(
    result: FlightResult, case_file: str, *, width: int = 80, styled: bool = False
) -> str:
    """Give the whole report of a flight as text.

    Parameters
    ----------
    result : FlightResult
        The flight.
    case_file : str
        The case file's name as it was given.
    width : int
        Columns, kept between 40 and 100.
    styled : bool
        Whether bold may be used.

    Returns
    -------
    str
        Lines of ASCII but for names from the case.
    """
    return render(flight_document(result, case_file), width, styled=styled)


def flight_document(result: FlightResult, case_file: str) -> Document:
    """Give the whole report of a flight; see ``flight_text``."""
    found = passage(
        About.FOUND,
        heading(_headline(result)),
        bullets(_findings(result)),
        heading("Phases"),
        _phases(result),
        heading("Events"),
        table(("time", "phase", "what", "where", *_names(result)), _events(result), left=4),
        heading("Fuel balance"),
        pairs(_balance(result)),
    )
    head = pairs([("case", case_file), ("flow judged at", result.end)], 0)
    return Document(
        title=clean(f"{result.title}: {result.profile}"),
        passages=(
            passage(About.HEAD, head),
            found,
            *of_the_case(
                result.of_the_case,
                case_file,
                own=result.assumptions,
                cautioned=[c for c in result.cautions if c not in result.cautions_of_the_case],
            ),
        ),
    )


def transfer_text(
    rows: Sequence[TransferRow],
    title: str,
    case_file: str,
    *,
    width: int = 80,
    styled: bool = False,
) -> str:
    """Give the transfer between full tanks as text; as ``flight_text``."""
    over = any(row.overflows for row in rows)
    answer = "a vent overflows" if over else "nothing runs over"
    if any(row.stopped for row in rows) and not over:
        answer = "not followed to its end"
    parts = [heading(f"Full tanks that lines join: {answer}"), *transfer_blocks(rows)]
    document = Document(
        title=clean(title),
        passages=(
            passage(About.HEAD, pairs([("case", case_file)], 0)),
            passage(About.FOUND, parts),
            cautions(ALWAYS),
        ),
    )
    return render(document, width, styled=styled)


def transfer_blocks(rows: Sequence[TransferRow]) -> list[Block]:
    """Give what runs over where lines join full tanks, and what to do about it."""
    parts: list[Block] = []
    if not rows:
        words = "No line joins two tanks in any selector position: nothing can run over."
        parts.append(paragraph(words))
    else:
        cells = [
            (
                row.situation,
                f"{row.selector}, {'right' if row.roll > 0 else 'left'} wing down",
                " / ".join(VOLUME.cell(value, 2) for value in row.end),
                VOLUME.cell(sum(row.overflow), 2),
                "-" if math.isnan(row.first_overflow) else clock(row.first_overflow),
            )
            for row in rows
        ]
        names = (
            "situation",
            "selector",
            f"{' / '.join(rows[0].tanks)} {VOLUME.name}",
            f"over {VOLUME.name}",
            "from",
        )
        parts.append(table(names, cells, left=2))
        parts += _transfer_advice(rows)
        parts += [
            paragraph(f"Not followed to its end: {told(row.stopped)}")
            for row in rows
            if row.stopped
        ]
    return parts


def _transfer_advice(rows: Sequence[TransferRow]) -> list[Block]:
    """Say what to do about an overflow, and about tanks that nothing parts."""
    parts: list[Block] = []
    stuck = " and ".join(f'"{name}"' for name in rows[0].never_parted)
    if stuck:
        parts.append(
            paragraph(
                f"Tanks {stuck} are joined in every position, so no selector position keeps the "
                "fuel where it is. Fit a shut-off between them."
            )
        )
    if any(row.overflows for row in rows):
        parts.append(
            paragraph(
                "A vent overflows. Flow between joined tanks must not overflow any vent with "
                "full tanks (14 CFR 23.957 before amendment 23-64, the usual yardstick). Leave "
                "room in the tanks, part them when parked (by the selector or a shut-off), or lead "
                "the vents higher."
            )
        )
    return parts


def clock(seconds: float) -> str:
    """Give a time [s] as hours, minutes and seconds."""
    if not math.isfinite(seconds):
        return "no result"
    whole = round(seconds)
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def _names(result: FlightResult) -> list[str]:
    return [
        f"{name} {VOLUME.name}"
        for name, stated in zip(result.tanks, result.stated_level, strict=True)
        if not stated
    ]


def _cells(result: FlightResult, quantities: Sequence[float]) -> list[str]:
    return [
        VOLUME.cell(value, 2)
        for value, stated in zip(quantities, result.stated_level, strict=False)
        if not stated
    ]


def _headline(result: FlightResult) -> str:
    if result.stopped:
        return "The flight could not be followed to its end"
    words = [
        word
        for word, flag in (
            ("starved", result.starved),
            ("the fuel boils", result.boils),
            ("a vent overflows", result.overflowed),
        )
        if flag
    ]
    if not words and result.doubtful:
        return "This estimate cannot tell whether the burn is met throughout"
    return f"By this estimate: {' and '.join(words) if words else 'the burn is met throughout'}"


def _findings(result: FlightResult) -> list[str]:
    words = [told(result.stopped)] if result.stopped else []
    words += [
        f"starved: the burn is lost at {clock(event.time)} in phase {event.phase}"
        for event in result.events
        if event.what == STARVED
    ]
    words += _boiling(result)
    words += [told(result.unfilled)] if result.unfilled else []
    words += [f"{told(one.name)}: {told(one.found)}; {told(one.remedy)}" for one in result.unread]
    words += [
        f"in phase {item.phase.name} it is not known which outlets of tank {name} are covered, so "
        "far is it from the attitude of its dips: state its floor, or describe it by points"
        for item in result.phases
        for name in item.blind
    ]
    words += [] if result.boils or result.unsettled else _in_draws(result)
    for name, mass in zip(result.tanks, result.overflow, strict=True):
        if mass > 1e-6:
            first = next(
                (e.time for e in result.events if e.what == OVERFLOW and e.item == name), 0
            )
            words.append(
                f"tank {name}: {MASS.words(mass, 2)} run out of the vent, from {clock(first)} on"
            )
    for index, name in enumerate(result.tanks):
        declared, last = result.unusable[index], result.phases[-1:] or ()
        for phase in last:
            if phase.quantities[index] < declared:
                words.append(
                    f"tank {name} ends with {volume_words(phase.quantities[index])}, less than "
                    f"its declared unusable {volume_words(declared)}"
                )
    return words or ["no feeding outlet is left without fuel, and no vent overflows"]


def _boiling(result: FlightResult) -> list[str]:
    """Say in which phases the fuel boils, or nearly."""
    words = []
    for item in result.phases:
        phase, margin = item.phase, item.vapour_margin
        where = (
            f"in phase {phase.name} ({TEMPERATURE.words(phase.temperature, 0)}, "
            f"{ALTITUDE.words(phase.altitude, 0)})"
        )
        if margin < 0.0:
            words.append(
                f"the fuel boils {where}: the pressure falls {PRESSURE.words(-margin, 1)} below "
                "its vapour pressure, and no flow here holds; fly it with cooler fuel, or lower"
            )
        elif not margin >= VAPOUR_DOUBT:
            words.append(
                f"the fuel is near boiling {where}: {PRESSURE.words(margin, 1)} above its vapour "
                f"pressure (rule of thumb: {PRESSURE.words(VAPOUR_DOUBT, 0)}, no source)"
            )
    return words


def _in_draws(result: FlightResult) -> list[str]:
    """Say in how many draws the burn is lost, when, and with what left in the tanks."""
    bands = result.bands
    if bands is None:
        return []
    if bands.failed:
        return [
            f"no result in draws: a solve failed in {bands.failed} of {bands.draws} joint draws"
        ]
    if bands.starved == 0.0:
        return [f"the burn is met throughout in all of {bands.draws} joint draws"]
    share = max(1, math.floor(100.0 * bands.starved + 0.5))
    words = [
        f"the burn is lost in {share} % of {bands.draws} joint draws (5 % allowed); 5th / 50th / "
        f"95th percentile of the time of that: {_times(bands.time)}"
    ]
    names = [*result.tanks, "all tanks together"]
    several = len(names) > 2
    for name, band in zip(names, (*bands.left, bands.left_in_all), strict=True):
        if math.isnan(band.middle) or (name == names[-1] and not several):
            continue
        cells = " / ".join(VOLUME.cell(max(v, 0.0), 2) for v in (band.low, band.middle, band.high))
        words.append(f"left then in {clean(name)}: {cells} {VOLUME.name}")
    return words


def _times(band: Percentiles) -> str:
    times = (band.low, band.middle, band.high)
    return " / ".join("not in this flight" if math.isinf(t) else clock(t) for t in times)


def _phases(result: FlightResult) -> list[Block]:
    rows = [
        (
            f"{item.phase.name} ({item.phase.selector}, {_attitude(item.phase)})",
            clock(item.end),
            MASS_FLOW.cell(item.phase.burn, 1),
            MASS.cell(item.burned, 2),
            _starved(item),
            *_cells(result, item.quantities),
        )
        for item in result.phases
    ]
    key = key_of_back(row[4] for row in rows)
    return [
        table(("phase", "ends", MASS_FLOW.name, MASS.name, "starved", *_names(result)), rows),
        *([paragraph(key)] if key else []),
    ]


def _starved(item: PhaseSummary) -> str:
    """Say for how long the burn is lost, and whether fuel would then run back."""
    if not item.starved_for > 0.0:
        return "-"
    return f"{clock(item.starved_for)} {BACK}" if item.runs_back else clock(item.starved_for)


def _attitude(phase: Phase) -> str:
    words = f"{number(to.degrees(phase.pitch), 0)} deg"
    if phase.lean == 0.0:
        return words
    name = "bank" if phase.turning else "roll"
    return f"{words}, {name} {number(to.degrees(phase.lean), 0)}"


def _events(result: FlightResult) -> list[tuple[str, ...]]:
    rows = []
    for event in result.events:
        if event.what == PHASE:
            continue
        rows.append(_event(result, event))
    return rows


def _event(result: FlightResult, event: FlightEvent) -> tuple[str, ...]:
    cells = _cells(result, event.quantities) or ["-"] * len(_names(result))
    return (clock(event.time), event.phase, event.what, event.item, *cells)


def _balance(result: FlightResult) -> list[tuple[str, str]]:
    balance = result.balance
    rows = [("at the start", MASS.words(balance.start, 3))]
    if any(result.stated_level):
        rows.append(("from stated levels", MASS.words(balance.from_stated_level, 3)))
    rows += [
        ("burned", MASS.words(balance.burned, 3)),
        ("overflowed", MASS.words(balance.overflowed, 3)),
        ("at the end", MASS.words(balance.end, 3)),
        ("imbalance", f"{balance.misfit:.1e} of it"),
    ]
    return rows

"""What ``flowsim unusable`` prints: placard figures first, then where each is from."""

import math
from collections.abc import Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any

from flowsim.document.blocks import Block
from flowsim.document.build import bullets, heading, pairs, paragraph, table
from flowsim.document.document import About, Document, passage
from flowsim.document.words.standing import ALWAYS
from flowsim.files.units import shown as to
from flowsim.measures import VOLUME
from flowsim.network.assembly import selector_words
from flowsim.physics.air.dips import DIP_CAUTIOUS, DIP_EXPECTED
from flowsim.reports.pages.of_the_case import of_the_case
from flowsim.reports.pages.unusable_vents import blocked_vent_blocks, header_blocks
from flowsim.reports.render.terminal import render
from flowsim.reports.words.units import (
    NO_RESULT,
    clean,
    number,
    pitch_words,
    temperature_words,
)
from flowsim.studies.changes.blocked_vent import BlockedVentRow
from flowsim.studies.judged.flight_attitudes import FLOWN_SLIP, LEVEL, RUN, SLIP, TURN
from flowsim.studies.result import Verdict
from flowsim.studies.review.carburettor_words import verdict_words
from flowsim.studies.saying import Said, Saying
from flowsim.studies.unusable.bands import in_order
from flowsim.studies.unusable.header_tank import HeaderRow
from flowsim.studies.unusable.result import QuantityBand, TankBands
from flowsim.studies.unusable.study import AttitudeLimits, Extreme, TankUnusable, UnusableResult
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import StatedLevel

NEVER = "even with a full tank"
UNSOLVED = -math.inf
"""[m3] Stands here for a limit that a failed solve left without a figure."""
_SAYS = {
    Verdict.ADEQUATE: "By this estimate the declared unusable and least take-off fuel are no less "
    "than the computed ones. It is an estimate, not an approval; the ground test decides.",
    Verdict.NOT_ADEQUATE: "By this estimate more fuel is unusable than is declared. Do not fly on "
    "the declared figures.",
    Verdict.CANNOT_TELL: "This estimate cannot tell whether the declared figures hold. That is no "
    "pass: settle it by the ground test.",
}


def unusable_text(
    system: FuelSystem,
    result: UnusableResult,
    headers: Sequence[HeaderRow],
    blocked: Sequence[BlockedVentRow],
    words: tuple[Sequence[Said], Sequence[Said]],
    case_file: str,
    *,
    width: int = 80,
    styled: bool = False,
) -> str:
    """Give the whole report as text.

    Parameters
    ----------
    system : FuelSystem
        The system.
    result : UnusableResult
        The unusable fuel.
    headers : sequence of HeaderRow
        Refill of header tanks; empty where there is none.
    blocked : sequence of BlockedVentRow
        Blocked vents; empty where not asked for.
    words : tuple of two sequences of str
        Assumptions and cautions.
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
    document = unusable_document(system, result, headers, blocked, words, case_file)
    return render(document, width, styled=styled)


def unusable_document(
    system: FuelSystem,
    result: UnusableResult,
    headers: Sequence[HeaderRow],
    blocked: Sequence[BlockedVentRow],
    words: tuple[Sequence[Said], Sequence[Said]],
    case_file: str,
) -> Document:
    """Give what the study found, to be printed alone or in a larger report."""
    if result.failed:
        result = _unsolved(result)
    parts: list[Block] = [
        heading(f"Declared figures: {verdict_words(result.verdict, system.engine)}"),
        paragraph(_SAYS[result.verdict]),
        bullets(result.reasons),
    ]
    for tank in result.tanks:
        parts += _tank(tank, verdict_words(tank.verdict, system.engine))
    if result.attitudes:
        parts += _tables(result)
    parts += [heading("How it was found"), paragraph(f"Found {_method(result)}.")]
    if any(isinstance(tank.shape, StatedLevel) for tank in system.tanks):
        parts += header_blocks(headers)
    if blocked:
        parts += blocked_vent_blocks(blocked)
    return Document(
        title=clean(result.title),
        passages=(
            passage(About.HEAD, pairs([("case", case_file)], 0)),
            passage(About.FOUND, parts),
            *of_the_case(words[0], case_file, cautioned=_own(words[1], system)),
        ),
    )


def _unsolved(value: Any) -> Any:
    """Give the same without limits that no fuel meets: a failed solve counts as lost in them."""
    if isinstance(value, float):
        return UNSOLVED if value == math.inf else value
    if isinstance(value, tuple):
        return tuple(_unsolved(item) for item in value)
    if is_dataclass(value) and not isinstance(value, type | Saying):
        return replace(value, **{f.name: _unsolved(getattr(value, f.name)) for f in fields(value)})
    return value


def _own(cautioned: Sequence[Said], system: FuelSystem) -> list[Said]:
    return [said for said in cautioned if said not in system.cautions]


def unusable_cautions(system: FuelSystem, result: UnusableResult) -> tuple[str, ...]:
    """Give what the reader must be told with these figures; the standing cautions first."""
    words = [
        *ALWAYS,
        _allowed_for(result),
        "A slip drains a wing tank's outlet at almost any quantity, so slips do not decide these "
        "figures: a slip has a least fuel of its own, or a time (flowsim check; [routing] slip).",
        *system.cautions,
    ]
    if result.descent_burn is None:
        words.append("No descent burn is stated: full-power burn is asked for nose-down as well.")
    if system.flight.descent_pitch is None:
        words.append("No descent pitch is stated: no attitude below level is looked at.")
    if result.failed:
        words.append(f"{result.failed} solves failed: what rests on them has no figure.")
    return tuple(dict.fromkeys(words))


def _allowed_for(result: UnusableResult) -> str:
    """Say what is allowed for what is uncertain."""
    gauge = "Add for the accuracy of your dip stick and gauge."
    screens = "screens at 20 % clear or as stated where less"
    if not result.draws:
        return (
            f"Single values only, {screens}: nothing else is allowed for what is uncertain. {gauge}"
        )
    few = max((group.burn.draws for group in result.groups), default=0)
    return (
        f"Percentiles are of the first {result.draws} joint draws of a check, {screens}; those of "
        f"the table by attitude are of the first {few} of them. {gauge}"
    )


def _method(result: UnusableResult) -> str:
    return (
        f"to {VOLUME.words(HUNDREDTH, 2)}, pitch {number(to.degrees(result.pitch_low), 1)} to "
        f"{number(to.degrees(result.pitch_high), 1)} deg by degree; wings level, turns of 20 and "
        "30 deg without slip, slips (roll without turn) of 20 and 30 deg to either side; the "
        f"surface dips into an outlet {DIP_EXPECTED:.0f} times (expected) and {DIP_CAUTIOUS:.0f} "
        "times (cautious) as deep as in a still tank"
    )


HUNDREDTH = 1e-5
"""[m3] 0.01 L: how closely a limit is found."""


def _volume(quantity: float) -> str:
    """Give a limit in words."""
    if quantity == UNSOLVED:
        return NO_RESULT
    if quantity == math.inf:
        return NEVER
    if math.isnan(quantity):
        return "not asked for"
    if 0.0 <= quantity < 5e-6:
        return f"less than {VOLUME.words(HUNDREDTH, 2)}"
    return VOLUME.words(quantity, 2)


def _where(item: Extreme) -> str:
    """Say where a limit was found."""
    if math.isnan(item.quantity) or item.quantity == UNSOLVED:
        return ""
    others = ", other tanks emptied alike" if item.together else ""
    others += f", {' and '.join(item.dry)} dry" if item.dry else ""
    lean = f", {_lean(item.kind, item.lean)}"
    cause = "flow lost" if item.reason == "flow" else "air drawn"
    return (
        f": {cause}, {selector_words(item.selector)}{others}, {pitch_words(item.pitch)}{lean}, "
        f"{temperature_words(item.temperature)}, {item.end}"
    )


def _lean(kind: str, lean: float) -> str:
    degrees = number(abs(to.degrees(lean)), 0)
    if kind == TURN:
        return f"turn of {degrees} deg"
    if kind in (SLIP, FLOWN_SLIP):
        return f"slip of {degrees} deg, {'right' if lean > 0 else 'left'} wing down"
    return kind


def _tank(tank: TankUnusable, word: str) -> list[Block]:
    rows = [
        ("suggested placard", f"unusable {_placard(tank.unusable_placard, tank.declared)}"),
        ("least take-off", f"{_placard(tank.takeoff_placard, tank.least_takeoff)}; what the flight "
         "needs comes on top"),
        ("declared", f"unusable {_volume(tank.declared)}, least take-off "
         f"{_volume(tank.least_takeoff)}, capacity {_volume(tank.capacity)}"),
        ("burn lost below", _both(tank.burn, tank.cautious.burn)),
        ("required flow lost", _both(tank.required, tank.cautious.required)),
        ("at take-off", _both(tank.takeoff, tank.cautious.takeoff)),
        ("flow stops below", f"{_volume(tank.stops.quantity)}"),
        ("burn lost in a slip", f"{_volume(tank.slip.quantity)}{_where(tank.slip)}"),
    ]  # fmt: skip
    if tank.bands is not None:
        rows += _bands(tank, tank.bands)
    if tank.flown_slip is not None and tank.cautious.flown_slip is not None:
        rows.append(("in the slip as flown", _both(tank.flown_slip, tank.cautious.flown_slip)))
        rows += _slip_bands(tank)
    return [heading(f'Tank "{clean(tank.name)}": {word}'), pairs(rows)]


def _bands(tank: TankUnusable, bands: TankBands) -> list[tuple[str, str]]:
    """Give the percentiles of the three figures, and in what share the declared one is enough."""
    held = (tank.declared, tank.declared + tank.test_draw, tank.least_takeoff)
    names = ("burn lost, drawn", "required, drawn", "at take-off, drawn")
    pairs_ = zip(names, in_order(bands.expected), in_order(bands.cautious), held, strict=True)
    return [
        (name, _percentiles(expected, cautious, declared))
        for name, expected, cautious, declared in pairs_
        if cautious.draws
    ]


def _slip_bands(tank: TankUnusable) -> list[tuple[str, str]]:
    """Give the percentiles of the burn in the slips that are flown."""
    if tank.bands is None:
        return []
    expected, cautious = tank.bands.expected.flown_slip, tank.bands.cautious.flown_slip
    if expected is None or cautious is None:
        return []
    return [("in that slip, drawn", _percentiles(expected, cautious, tank.slip_fuel))]


def _percentiles(expected: QuantityBand, cautious: QuantityBand, held: float) -> str:
    failed = max(expected.failed, cautious.failed)
    if failed:
        return f"no result: a solve failed in {failed} of {cautious.draws} draws"
    both = (
        " / ".join(_drawn_cell(value) for value in (band.low, band.middle, band.high))
        for band in (expected, cautious)
    )
    first, second = both
    share = number(math.floor(100.0 * cautious.enough + 1e-9), 0)
    return (
        f"5th / 50th / 95th percentile of {cautious.draws} draws {first} {VOLUME.name} expected; "
        f"{second} cautious; {_volume(held)} is enough in {share} % of them (cautious)"
    )


def _drawn_cell(quantity: float) -> str:
    if quantity == UNSOLVED:
        return NO_RESULT
    return "never" if quantity == math.inf else VOLUME.cell(quantity, 2)


def _both(expected: Extreme, cautious: Extreme) -> str:
    """Give a limit with the expected and with the cautious dip of the surface."""
    if expected.quantity == cautious.quantity == UNSOLVED:
        return NO_RESULT
    words = f"{_volume(expected.quantity)} expected{_where(expected)}"
    if expected.quantity == math.inf:
        return f"{NEVER}{_where(expected)}"
    return f"{words}; {_volume(cautious.quantity)} cautious"


def _placard(computed: float, declared: float) -> str:
    """Suggest a figure; never one below what is declared already."""
    if math.isnan(computed):
        return "no figure: the line is too small, more fuel hides it, do not placard"
    if computed == UNSOLVED:
        return "no result"
    if computed <= declared:
        return f"{_volume(declared)} as declared (computed, rounded up: {_volume(computed)})"
    return f"{_volume(computed)} (computed, rounded up)"


def _tables(result: UnusableResult) -> list[Block]:
    """Give the largest limits by tank, selector and kind of attitude."""
    groups: dict[tuple[str, str, str], list[AttitudeLimits]] = {}
    for row in result.attitudes:
        name = " + ".join(row.tanks) + (" alike" if len(row.tanks) > 1 else "")
        name += f", {' + '.join(row.dry)} dry" if row.dry else ""
        kind = row.kind
        if kind == LEVEL:
            kind = "nose-down" if row.pitch < 0.0 else "level and nose-up"
        groups.setdefault((name, row.selector, kind), []).append(row)
    order = {"level and nose-up": 0, "nose-down": 1, TURN: 2, RUN: 3, SLIP: 4, FLOWN_SLIP: 5}
    sorted_ = sorted(groups.items(), key=lambda item: (item[0][0], item[0][1], order[item[0][2]]))
    names = ("tank", "selector", "attitude")
    expected = [
        (
            *key,
            _cell([row.stops for row in found]),
            _cell([max(row.burn_flow, row.burn_air) for row in found]),
            _cell([max(row.required_flow, row.required_air) for row in found]),
        )
        for key, found in sorted_
    ]
    cautious = [
        (
            *key,
            _cell([row.burn_cautious for row in found]),
            _cell([row.required_cautious for row in found]),
        )
        for key, found in sorted_
    ]
    blocks: list[Block] = [
        heading(f"Largest quantity [{VOLUME.name}] below which it is lost"),
        paragraph(
            "Burn: full power, nose-down the descent's burn where stated. Required: the burn times "
            "the factor, from level up. Air drawn counts as lost. Tanks not named hold the test "
            "quantity. With the expected dip of the surface:"
        ),
        table((*names, "stops", "burn", "required"), expected, left=3),
        paragraph("With the cautious dip:"),
        table((*names, "burn", "required"), cautious, left=3),
    ]
    if not result.groups:
        return blocks
    drawn = {(g.selector, g.tanks, g.dry, g.kind, g.down): g for g in result.groups}
    bands = []
    for key, (first, *_) in sorted_:
        own = drawn[first.selector, first.tanks, first.dry, first.kind, key[2] == "nose-down"]
        bands.append((*key, _band_cell(own.burn), _band_cell(own.required)))
    draws = max(group.burn.draws for group in result.groups)
    told = f"With the cautious dip in {draws} joint draws, 5th to 95th percentile:"
    return [*blocks, paragraph(told), table((*names, "burn", "required"), bands, left=3)]


def _band_cell(band: QuantityBand) -> str:
    """Give 5th to 95th percentile of a limit in a cell."""
    if not band.draws:
        return "-"
    if band.failed or UNSOLVED in (band.low, band.high):
        return NO_RESULT
    if band.low == math.inf:
        return "never met"
    high = "never met" if band.high == math.inf else VOLUME.cell(band.high, 2)
    return f"{VOLUME.cell(band.low, 2)} to {high}"


def _cell(values: Sequence[float]) -> str:
    known = [value for value in values if not math.isnan(value)]
    if not known:
        return "-"
    if UNSOLVED in known:
        return NO_RESULT
    largest = max(known)
    return "never met" if largest == math.inf else VOLUME.cell(largest, 2)

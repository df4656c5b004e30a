"""Slips: with how much fuel they may be flown, and for how long with less.

14 CFR 23.959 (before amendment 23-64) puts what the most adverse feed condition of each intended
manoeuvre leaves into the unusable fuel. Here a slip has a least fuel of its own, because a wing
tank's outlet at the root is bare in a steady slip at almost any quantity.
"""

import math

from flowsim.network.assembly import Assembly, selector_words
from flowsim.physics.tank.floor import NEAR
from flowsim.studies.result import Decision, Topic, Verdict
from flowsim.studies.saying import NOTHING, Said, run_on, saying
from flowsim.studies.unusable.bands import slip_fuel
from flowsim.studies.unusable.slip import SlipRow, slip_rows
from flowsim.studies.unusable.study import rounded_up
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.decisions.tank_data import REMEDY, dipped_tanks
from flowsim.studies.verdict.judging import worst
from flowsim.system.tanks import DipTable

NAME = "slips"
RULE = saying("slip.published_rule_text_counts")


def slip(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide on the slips that the case flies.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        One. Fine where the burn still arrives, with the cautious dip of the surface, on nominal
        values and in 95 % of the draws, on the fuel with which the slip is flown (the declared
        unusable fuel if not stated), or where the slip is no longer than the lines hold burn, on
        nominal values and in 95 % of the draws.
        Longer than that and with less fuel than needed: not adequate; cannot tell where it is not
        stated how long, or only the cautious dip or the draws fail. For information where no slip
        is stated.
    """
    assembly = evidence.swept.assembly
    routing = assembly.system.routing
    if routing.slip is None:
        return (
            Decision(
                topic=Topic.SLIP,
                name=NAME,
                verdict=Verdict.CANNOT_TELL,
                found=saying("slip.no_slip_stated_nothing"),
                remedy=saying("slip.if_slips_flown_write"),
                informs=True,
            ),
        )
    blind = _without_floor(assembly, routing.slip)
    if blind:
        words = saying("slip.slip_not_known_which", blind=blind)
        return (_decision(Verdict.CANNOT_TELL, words, REMEDY),)
    rows = slip_rows(assembly, None if evidence.joint is None else evidence.joint.draws)
    if not rows:
        return ()
    fuel = {tank.name: slip_fuel(assembly.system, tank) for tank in assembly.system.tanks}
    verdicts = [_verdict(row, fuel[row.tank], routing.slip_time) for row in rows]
    verdict = worst(verdicts)
    said = tuple(_words(row) for row in rows)
    remedy = NOTHING if verdict is Verdict.ADEQUATE else _remedy(rows, verdicts)
    found = saying("slip.found", slip=routing.slip, said=said, rule=RULE)
    return (_decision(verdict, found, remedy),)


def _verdict(row: SlipRow, fuel: float, time: float | None) -> Verdict:
    """Judge one tank in one selector position."""
    if time is not None and time <= row.surely:
        return Verdict.ADEQUATE
    enough = row.cautious.quantity <= fuel
    if enough and (row.drawn is None or row.drawn.high <= fuel):  # NaN where a draw failed
        return Verdict.ADEQUATE
    # Long enough on nominal values alone: not known.
    if enough or row.expected.quantity <= fuel or time is None or time <= row.seconds:
        return Verdict.CANNOT_TELL
    return Verdict.NOT_ADEQUATE


def _words(row: SlipRow) -> Said:
    """Say what one tank in one selector position needs."""
    needs = saying("slip.lost_even_full_tank")
    if math.isfinite(row.expected.quantity):
        expected, cautious = row.expected.quantity, row.cautious.quantity
        needs = saying("slip.lost_below_full", quantity=expected)
        if math.isfinite(cautious):
            needs = saying("slip.lost_below", quantity=expected, cautious=cautious)
    if row.drawn is not None and row.drawn.failed:
        failed, draws = row.drawn.failed, row.drawn.draws
        needs = run_on(needs, saying("slip.no_result_joint_draws", failed=failed, draws=draws))
    elif row.drawn is not None and math.isfinite(row.drawn.high):
        needs = run_on(needs, saying("slip.high_in_draws", high=row.drawn.high))
    return saying(
        "slip.tank_burn_lines_hold",
        selector=selector_words(row.selector),
        tank=row.tank,
        needs=needs,
        seconds=row.seconds,
        drawn=_seconds_drawn(row),
    )


def _seconds_drawn(row: SlipRow) -> Said:
    """Say what the seconds are in the draws; nothing on nominal values."""
    band = row.seconds_drawn
    if band is None:
        return NOTHING
    if band.failed:
        return saying("slip.seconds_no_result", failed=band.failed, draws=band.draws)
    return saying("slip.seconds_in_draws", low=band.low, high=band.high, draws=band.draws)


def _remedy(rows: tuple[SlipRow, ...], verdicts: list[Verdict]) -> Said:
    """Give the fuel or the time with which the slip may be flown."""
    bad = [
        row for row, verdict in zip(rows, verdicts, strict=True) if verdict is not Verdict.ADEQUATE
    ]
    seconds = min(0 if math.isnan(row.surely) else math.floor(row.surely) for row in bad)
    short = saying("slip.no_longer_than_s", seconds=seconds)
    fuel = max(rounded_up(_needed(row)) for row in bad)
    if not math.isfinite(fuel):
        return saying("slip.fly_no_quantity_enough", short=short)
    return saying("slip.fly_least_tank_use", fuel=fuel, short=short)


def _needed(row: SlipRow) -> float:
    """Give the quantity that is enough on nominal values and in 95 % of the draws [m3]."""
    drawn = row.cautious.quantity if row.drawn is None else row.drawn.high
    needed = max(row.cautious.quantity, drawn)
    return math.inf if math.isnan(drawn) else needed


def _without_floor(assembly: Assembly, roll: float) -> tuple[str, ...]:
    """Name the tanks known by a dip table alone, where the slip leans far from their dips."""
    tanks = assembly.system.tanks
    names = []
    for index in dipped_tanks(assembly):
        shape = tanks[index].shape
        if isinstance(shape, DipTable) and shape.floor is None and roll > NEAR:
            names.append(tanks[index].name)
    return tuple(names)


def _decision(verdict: Verdict, found: Said, remedy: Said) -> Decision:
    return Decision(topic=Topic.SLIP, name=NAME, verdict=verdict, found=found, remedy=remedy)

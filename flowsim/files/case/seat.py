"""A needle and seat by Cv, Kv or measured drops: never more than its bore can pass."""

import math

from flowsim.constants import STANDARD_GRAVITY
from flowsim.files.case.models import PartSection
from flowsim.files.case.part_laws import PartPlace
from flowsim.measures import BORE
from flowsim.physics.losses.fitting_laws import quadratic_of_kv
from flowsim.system.parts import FlowCoefficient, MeasuredDrop, Part

SEAT_SLACK = 1.1
"""[-] How far a stated coefficient may exceed that of an opening without any loss, for rounding of
the bore and of readings. Tag: common practice."""


def discharge_coefficient(part: Part) -> float:
    """Give the largest discharge coefficient that a stated flow or drop means on the part's bore.

    Parameters
    ----------
    part
        As built.

    Returns
    -------
    float
        [-]; NaN for a part that is stated in another way.

    References
    ----------
    Q = Cd A sqrt(2 g h), any text on hydraulics; h of a Kv as ``quadratic_of_kv``.
    """
    if isinstance(part, FlowCoefficient):
        read = [(1.0, quadratic_of_kv(part.name, part.kv))]
    elif isinstance(part, MeasuredDrop):
        weight = part.density * STANDARD_GRAVITY
        read = [(flow, drop / weight) for flow, drop in zip(part.flows, part.drops, strict=True)]
    else:
        return math.nan
    area = math.pi / 4.0 * part.bore**2
    return max(flow / (area * math.sqrt(2.0 * STANDARD_GRAVITY * head)) for flow, head in read)


def refuse_generous(part: Part | None, section: PartSection, place: PartPlace) -> None:
    """Refuse a seat said to pass more than an opening of its bore without any loss.

    What comes out of a seat loses all its speed in the bowl, so no shape of it gets round that.

    Parameters
    ----------
    part
        As built; None where a mistake prevents it.
    section
        The part's table.
    place
        Where it sits; its ledger receives the mistake.
    """
    if part is None or section.part != "needle and seat":
        return
    found = discharge_coefficient(part)
    if not found > SEAT_SLACK:
        return
    key = next(key for key in ("cv", "kv", "measured") if getattr(section, key) is not None)
    bore = BORE.significant(getattr(part, "bore", math.nan), 4)
    place.ledger.mistake(
        (*place.path, key),
        f"it would pass {found:.3g} times what an opening of its bore, {bore}, passes without any "
        "loss",
        "check its unit and decimals, and bore (that of the seat under the needle)",
    )

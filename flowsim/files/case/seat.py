"""A part by Cv, Kv or measured drops: never more than its own bore can pass."""

import math

from flowsim.constants import STANDARD_GRAVITY
from flowsim.files.case.models import PartSection
from flowsim.files.case.part_laws import PartPlace
from flowsim.measures import BORE
from flowsim.physics.losses.fitting_laws import quadratic_of_kv
from flowsim.system.parts import FlowCoefficient, MeasuredDrop, OneWayValve, Part

SEAT_SLACK = 1.1
"""[-] How far a stated coefficient may exceed that of an opening without any loss, for rounding of
the bore and of readings. Tag: common practice."""


NARROWEST = "its narrowest, as measured; what lies in a taper of its own is a valve without bore"
"""What the bore of a part other than a seat is."""


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
    if isinstance(part, FlowCoefficient | OneWayValve):
        read = [(1.0, quadratic_of_kv(part.name, part.kv))]
    elif isinstance(part, MeasuredDrop):
        weight = part.density * STANDARD_GRAVITY
        read = [(flow, drop / weight) for flow, drop in zip(part.flows, part.drops, strict=True)]
    else:
        return math.nan
    area = math.pi / 4.0 * part.bore**2
    return max(flow / (area * math.sqrt(2.0 * STANDARD_GRAVITY * head)) for flow, head in read)


def most(section: PartSection, bore: float, place: PartPlace) -> float:
    """Give the largest discharge coefficient that a part of a bore of its own can have.

    Parameters
    ----------
    section
        The part's table.
    bore
        [m] Its own, as stated.
    place
        Where it sits.

    Returns
    -------
    float
        [-] 1 where all speed is lost behind it: a seat, and a restrictor in a carburettor. In a
        tube at best the speed that a sudden step leaves comes back; infinite in no wider tube.

    References
    ----------
    Borda and Carnot: a step loses (1 - (d/D)^2)^2 velocity heads of the small bore, and nothing is
    lost ahead of it at best.
    """
    tube = place.tube_bore
    if section.part == "needle and seat" or (tube is None and section.part == "restrictor"):
        return 1.0
    if tube is None or math.isnan(tube) or not bore < tube:
        return math.inf
    return 1.0 / (1.0 - (bore / tube) ** 2)


def refuse_generous(part: Part | None, section: PartSection, place: PartPlace) -> None:
    """Refuse a part said to pass more than an opening of its bore without any loss ahead of it.

    Parameters
    ----------
    part
        As built; None where a mistake prevents it.
    section
        The part's table.
    place
        Where it sits; its ledger receives the mistake.
    """
    keys = [key for key in ("cv", "kv", "measured") if getattr(section, key) is not None]
    if part is None or section.bore is None or not keys:
        return
    many = math.sqrt(section.count or 1)
    found = many * discharge_coefficient(part) / most(section, section.bore.value, place)
    if not found > SEAT_SLACK:
        return
    bore = BORE.significant(section.bore.value, 4)
    what = "that of the seat under the needle" if section.part == "needle and seat" else NARROWEST
    place.ledger.mistake(
        (*place.path, keys[0]),
        f"it would pass {found:.3g} times what an opening of its bore, {bore}, passes without any "
        "loss ahead of it",
        f"check its unit and decimals, and bore ({what})",
    )

"""Flow meters that are blocked: which there are, and the system with some of them blocked."""

from dataclasses import dataclass

from flowsim.network.assembly import Assembly
from flowsim.physics.losses.laws import loss_law
from flowsim.studies.changes.changed_parts import changed_parts
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.parts import FLOW_METER, Part


@dataclass(frozen=True, slots=True)
class Meter:
    """A flow meter: its ``name``, its ``owner`` (a line or "carburettor"), if its loss is known.

    ``is_known``: the case says what it passes when it is blocked.
    """

    owner: str
    name: str
    is_known: bool


def meters_in_use(assembly: Assembly) -> tuple[Meter, ...]:
    """Give the flow meters of the lines that some selector position for take-off and climb opens.

    Parameters
    ----------
    assembly : Assembly

    Returns
    -------
    tuple of Meter
        In the order in which the parts lie. A meter is a part of the kind "flow meter".
    """
    system = assembly.system
    shut = {
        line.name
        for index, line in enumerate(system.lines)
        if not any(
            assembly.line_allowed[number, index]
            for number, position in enumerate(assembly.positions)
            if position.judged
        )
    }
    found: list[Meter] = []

    def look(owner: str, part: Part) -> Part:
        if loss_law(part).kind(part) == FLOW_METER and owner not in shut:
            is_known = loss_law(part).blocked(part) is not None
            found.append(Meter(owner, part.name, is_known))
        return part

    changed_parts(system, look)
    return tuple(found)


def with_blocked(system: FuelSystem, meters: tuple[Meter, ...]) -> FuelSystem:
    """Give a system in which some meters are blocked: what they pass then is put in their place.

    Parameters
    ----------
    system : FuelSystem
    meters : tuple of Meter
        Of that system. One whose blocked loss is not known stays as it is.

    Returns
    -------
    FuelSystem
    """
    names = {(meter.owner, meter.name) for meter in meters}

    def change(owner: str, part: Part) -> Part:
        blocked = loss_law(part).blocked(part)
        return part if blocked is None or (owner, part.name) not in names else blocked

    return changed_parts(system, change)


def meter_words(meters: tuple[Meter, ...]) -> Said:
    """Name meters and where they sit."""
    return saying("flow_meter.meters", meters=tuple(_meter_words(meter) for meter in meters))


def _meter_words(meter: Meter) -> Said:
    return saying("flow_meter.meter", name=meter.name, owner=meter.owner)

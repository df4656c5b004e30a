"""What the case says is on the lines, to be ticked off at the aeroplane."""

from collections.abc import Sequence

from flowsim.physics.course.centre_line import Straight
from flowsim.studies.routing.courses import LaidLine
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.routing import Installation, Protection


def protected_length(laid: LaidLine, protection: Protection) -> float:
    """Give how much of a line a sleeve or wrap covers [m].

    Parameters
    ----------
    laid : LaidLine
    protection : Protection

    Returns
    -------
    float
        The whole run, or the stated length.
    """
    if protection.run is None:
        return protection.length or 0.0
    runs = [piece.length for piece in laid.centre.pieces if isinstance(piece, Straight)]
    return runs[protection.run - 1] if protection.run <= len(runs) else 0.0


def ticks(system: FuelSystem, lines: Sequence[LaidLine]) -> tuple[Said, ...]:
    """List sleeves, wraps, crossings, stated trim and drains.

    Parameters
    ----------
    system : FuelSystem
    lines : sequence of LaidLine

    Returns
    -------
    tuple of str
        By line, then the drains.
    """
    found: list[Said] = []
    for laid in lines:
        installation = system.routing.installation(laid.name)
        found += [
            saying("ticks.line", laid=laid.name, protection=_protection_words(laid, item))
            for item in installation.protection
        ]
        found += [
            saying(
                "ticks.line_sleeve",
                laid=laid.name,
                value=system.routing.sleeve if item.sleeve is None else item.sleeve,
                kind=item.kind,
                item=item.name,
            )
            for item in system.routing.crossings
            if item.line == laid.name
        ]
        found += _trim_words(laid.name, installation)
    return (
        *found,
        *(saying("ticks.drain_drains", d=d.name, reaches=d.reaches) for d in system.drains),
    )


def _protection_words(laid: LaidLine, item: Protection) -> Said:
    where = saying("ticks.from_value_length_on", along=item.along or 0.0)
    if item.run is not None:
        where = saying("ticks.run", run=item.run)
    return saying(
        "ticks.wrap" if item.kind == "anti-chafe" else "ticks.sleeve",
        long=protected_length(laid, item),
        where=where,
        note=saying("in_brackets", said=item.note) if item.note else None,
    )


def _trim_words(line: str, installation: Installation) -> list[Said]:
    if not installation.trim:
        return []
    return [saying("ticks.line_trim_cut_off", line=line, trim=installation.trim)]

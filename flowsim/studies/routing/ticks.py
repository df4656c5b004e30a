"""What the case says is on the lines, to be ticked off at the aeroplane."""

from collections.abc import Sequence

from flowsim.measures import LENGTH
from flowsim.physics.course.centre_line import Straight
from flowsim.studies.routing.courses import LaidLine
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


def ticks(system: FuelSystem, lines: Sequence[LaidLine]) -> tuple[str, ...]:
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
    found: list[str] = []
    for laid in lines:
        installation = system.routing.installation(laid.name)
        found += [
            f'line "{laid.name}": {_protection_words(laid, item)}'
            for item in installation.protection
        ]
        found += [
            f'line "{laid.name}": sleeve of '
            f"{_mm(system.routing.sleeve if item.sleeve is None else item.sleeve)} at the "
            f'{item.kind} "{item.name}"'
            for item in system.routing.crossings
            if item.line == laid.name
        ]
        found += _trim_words(laid.name, installation)
    return (*found, *(f'drain "{d.name}" drains {d.reaches}' for d in system.drains))


def _protection_words(laid: LaidLine, item: Protection) -> str:
    what = "anti-chafe wrap" if item.kind == "anti-chafe" else "sleeve"
    long = _mm(protected_length(laid, item))
    where = f"on run {item.run}" if item.run is not None else f"from {_mm(item.along or 0.0)} on"
    return f"{what} of {long} {where}" + (f" ({item.note})" if item.note else "")


def _trim_words(line: str, installation: Installation) -> list[str]:
    if not installation.trim:
        return []
    return [f'line "{line}": {_mm(installation.trim)} of trim cut off at each end of each piece']


def _mm(length: float) -> str:
    return f"{LENGTH.words(length, 0)}"

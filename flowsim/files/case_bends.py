"""The bends of a line along its points: where it turns, by what radius, whether they fit.

Everything that is wrong with a line is found in one go: each pair of points that are one, each
turn that doubles back, each leg that is too short for its bends.
"""

import itertools
import math

from flowsim.errors import DomainError
from flowsim.files.case_fuel import split_message
from flowsim.files.case_ledger import Ledger
from flowsim.files.case_models_lines import LineSection
from flowsim.files.case_routes import Route, Turn, misfits, route_through
from flowsim.files.case_validate import example
from flowsim.files.quantities import floor_in_unit_of, in_unit_of
from flowsim.files.toml_lines import Path
from flowsim.physics.centre_line import DOUBLES_BACK, SAME_POINT
from flowsim.physics.losses import bend
from flowsim.system.parts import MinorLoss
from flowsim.system.points import Point


def sound_route(path: Path, points: tuple[Point, ...], ledger: Ledger) -> Route | None:
    """Measure a line along its points.

    Parameters
    ----------
    path
        Path of the line.
    points
        Both ends and what lies between them.
    ledger
        Receives every pair of points that are one, and every turn that doubles back.

    Returns
    -------
    Route or None
        None where a mistake prevents it.
    """
    last = len(points) - 1
    same = [
        i for i, (a, b) in enumerate(itertools.pairwise(points)) if math.dist(a, b) < SAME_POINT
    ]
    for index in same:
        first, second = point_words(index, last), point_words(index + 1, last)
        problem = f"{first} and {second} are the same place"
        ledger.mistake((*path, "via"), problem, "delete one of them, or correct it")
    if same:
        return None
    route = route_through(points)
    back = [turn for turn in route.turns if turn.angle > DOUBLES_BACK]
    for turn in back:
        problem = f"it doubles back at point {turn.index} of via"
        ledger.mistake((*path, "via"), problem, "correct the points")
    return None if back else route


def turn_radii(
    section: LineSection, path: Path, route: Route, ledger: Ledger
) -> tuple[float, ...] | None:
    """Give the bend radius [m] at each turn.

    Parameters
    ----------
    section
        ``[[line]]`` of the file.
    path
        Its path.
    route
        Its course.
    ledger
        Receives a missing radius, and every leg that is too short for its bends.

    Returns
    -------
    tuple of float or None
        NaN where it could not be read; None where a mistake prevents it.
    """
    if not route.turns:
        return ()
    if section.bend_radius is None:
        if not ledger.is_reported((*path, "bend_radius")):
            turns = ", ".join(_turn_words(turn) for turn in route.turns)
            problem = f"it turns by {turns} of via and no bend radius is given"
            remedy = f"write {example(LineSection, 'bend_radius')}"
            ledger.mistake((*path, "bend_radius"), problem, remedy)
        return None
    radii = (section.bend_radius.value,) * len(route.turns)
    found = misfits(route, radii)
    for leg, taken in found:
        _misfit(section, path, route, leg, taken, ledger)
    return None if found else radii


def _turn_words(turn: Turn) -> str:
    return f"{math.degrees(turn.angle):.0f} deg at point {turn.index}"


def _misfit(
    section: LineSection, path: Path, route: Route, leg: int, taken: float, ledger: Ledger
) -> None:
    """Report a leg that is too short for its bends, with the largest radius that fits on it."""
    given = section.bend_radius
    if given is None or given.quantity is None:
        return
    last = len(route.points) - 1
    length = route.legs[leg]
    reach = taken / given.value
    largest = floor_in_unit_of(length / reach, given.quantity)
    ledger.mistake(
        (*path, "bend_radius"),
        f"leg {leg + 1}, from {point_words(leg, last)} to {point_words(leg + 1, last)}, is "
        f"{in_unit_of(length, given.quantity)} long, too short for its bends of radius "
        f"{given.text}, which take {in_unit_of(taken, given.quantity)}",
        f'write bend_radius = "{largest}" or less, or correct the points',
    )


def bends(
    path: Path, route: Route, radii: tuple[float, ...], bore: float, ledger: Ledger
) -> tuple[MinorLoss, ...]:
    """Give the loss of each turn.

    Parameters
    ----------
    path
        Path of the line.
    route
        Its course.
    radii
        [m] Bend radius at each turn.
    bore
        [m] Bore of the tube.
    ledger
        Receives each bend that is tighter than any bend law holds for.

    Returns
    -------
    tuple of MinorLoss
        In order of the turns.
    """
    made = []
    for turn, radius in zip(route.turns, radii, strict=True):
        if math.isnan(bore + radius):
            break
        name = f"bend {_turn_words(turn)}"
        try:
            made.append(bend(turn.angle, radius, bore, name))
        except DomainError as error:
            ledger.mistake((*path, "bend_radius"), *split_message(error))
    return tuple(made)


def point_words(index: int, last: int) -> str:
    """Name a point of a line.

    Parameters
    ----------
    index
        Its number among the points, from 0, ends included.
    last
        The number of the line's end.

    Returns
    -------
    str
        ``its start``, ``point 2 of via``, ``its end``.
    """
    return "its start" if index == 0 else "its end" if index == last else f"point {index} of via"

"""The bends of a line along its points: where it turns, by what radius, whether they fit.

Everything that is wrong with a line is found in one go: each pair of points that are one, each
turn that doubles back, each leg that is too short for its bends.
"""

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flowsim.errors import DomainError
from flowsim.files.case.corners import Corner, corners_by_point, remark_on_angle
from flowsim.files.case.fuel import split_message
from flowsim.files.case.given import Given
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models import PartSection
from flowsim.files.case.models_lines import LineSection
from flowsim.files.case.routes import Route, Turn, misfits, route_through, tangent
from flowsim.files.case.validate import example
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.quantities import floor_in_unit_of, in_unit_of
from flowsim.physics.course.centre_line import DOUBLES_BACK, SAME_POINT
from flowsim.physics.losses.formed_fittings import bend
from flowsim.system.parts import MinorLoss
from flowsim.system.points import Point

_SHARP = Given(0.0)


@dataclass(frozen=True, slots=True)
class FormedTurn:
    """A turn: the radius that it is bent to, zero where a fitting makes it; where that stands."""

    turn: Turn
    radius: Given
    path: KeyPath

    @property
    def taken(self) -> float:
        """How much of each leg it takes up [m]."""
        return tangent(self.turn, self.radius.value)


def sound_route(path: KeyPath, points: tuple[Point, ...], ledger: Ledger) -> Route | None:
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
    pairs = enumerate(itertools.pairwise(points))
    same = [index for index, (a, b) in pairs if math.dist(a, b) < SAME_POINT]
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


def formed_turns(
    section: LineSection,
    path: KeyPath,
    route: Route,
    bore: float,
    more_parts: Sequence[PartSection],
    ledger: Ledger,
) -> tuple[FormedTurn, ...] | None:
    """Give the turns of a line with their radii.

    Parameters
    ----------
    section
        ``[[line]]`` of the file.
    path
        Its path.
    route
        Its course.
    bore
        [m] Bore of its tube.
    more_parts
        Fittings at the tank outlets where it ends.
    ledger
        Receives a missing radius, and every leg that is too short for its bends.

    Returns
    -------
    tuple of FormedTurn or None
        None where a mistake prevents it.
    """
    stated = corners_by_point(section, path, more_parts, ledger)
    _check_turning(route, stated, ledger)
    for turn in route.turns:
        if turn.index in stated:
            remark_on_angle(stated[turn.index], turn.angle, ledger)
    without = [turn for turn in route.turns if turn.index not in stated]
    if without and section.bend_radius is None:
        if not any(ledger.is_reported((*path, key)) for key in ("bend_radius", "corners")):
            turns = ", ".join(turn_words(turn) for turn in without)
            problem = f"it turns by {turns} of via and no bend radius is given"
            remedy = f"write {example(LineSection, 'bend_radius')}"
            ledger.mistake((*path, "bend_radius"), problem, remedy)
        return None
    formed = tuple(_formed(section, path, turn, stated) for turn in route.turns)
    found = misfits(route, [one.radius.value for one in formed])
    for misfit in found:
        _misfit(route, formed, misfit, bore, ledger)
    return None if found else formed


def _formed(
    section: LineSection, path: KeyPath, turn: Turn, stated: Mapping[int, Corner]
) -> FormedTurn:
    corner = stated.get(turn.index)
    if corner is None:
        assert section.bend_radius is not None
        return FormedTurn(turn, section.bend_radius, (*path, "bend_radius"))
    return FormedTurn(turn, corner.radius or _SHARP, (*corner.path, "radius"))


def _check_turning(route: Route, stated: Mapping[int, Corner], ledger: Ledger) -> None:
    """Check that the line turns where a corner is stated."""
    turning = {turn.index for turn in route.turns}
    for point, corner in stated.items():
        if point not in turning:
            problem = f"the line runs straight on at point {point} of via (by less than 5 deg)"
            ledger.mistake(corner.path, problem, "delete the corner, or correct its point")


def turn_words(turn: Turn) -> str:
    """Say by how much a line turns, and where.

    Parameters
    ----------
    turn
        The turn.

    Returns
    -------
    str
        ``62 deg at point 1``.
    """
    return f"{math.degrees(turn.angle):.0f} deg at point {turn.index}"


def _misfit(
    route: Route,
    formed: Sequence[FormedTurn],
    misfit: tuple[int, float],
    bore: float,
    ledger: Ledger,
) -> None:
    """Report a leg that is too short for its bends, with the largest radius that fits on it.

    Of two bends with radii of their own, the larger one is asked to give way.
    """
    leg, taken = misfit
    there = [one for one in formed if one.turn.index in (leg, leg + 1) and one.taken > 0.0]
    shared = {one.path: one for one in there}
    asked = max(shared.values(), key=lambda one: one.radius.value)
    given = asked.radius
    if given.quantity is None:
        return
    mine = [one for one in there if one.path == asked.path]
    room = route.legs[leg] - sum(one.taken for one in there if one.path != asked.path)
    reach = sum(math.tan(0.5 * one.turn.angle) for one in mine)
    remedy = "correct the points, or let a fitting make the corner (corners)"
    if not room <= bore * reach:
        largest = floor_in_unit_of(room / reach, given.quantity)
        remedy = f'write {asked.path[-1]} = "{largest}" or less, or correct the points'
    last = len(route.points) - 1
    radii = " and ".join(dict.fromkeys(one.radius.text for one in there))
    whose = "its bend of" if len(there) == 1 else "its bends of"
    take = "takes" if len(there) == 1 else "take"
    ledger.mistake(
        asked.path,
        f"leg {leg + 1}, from {point_words(leg, last)} to {point_words(leg + 1, last)}, is "
        f"{in_unit_of(route.legs[leg], given.quantity)} long, too short for {whose} radius "
        f"{radii}, which {take} {in_unit_of(taken, given.quantity)}",
        remedy,
    )


def bends(formed: Sequence[FormedTurn], bore: float, ledger: Ledger) -> tuple[MinorLoss, ...]:
    """Give the loss of each turn that is bent.

    Parameters
    ----------
    formed
        The turns with their radii.
    bore
        [m] Bore of the tube.
    ledger
        Receives each bend that is tighter than any bend law holds for.

    Returns
    -------
    tuple of MinorLoss
        In order of the turns; a corner that a fitting makes is not among them.
    """
    made = []
    for one in formed:
        radius = one.radius.value
        if math.isnan(bore + radius):
            break
        if radius == 0.0:
            continue
        try:
            made.append(bend(one.turn.angle, radius, bore, f"bend {turn_words(one.turn)}"))
        except DomainError as error:
            ledger.mistake(one.path, *split_message(error))
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

"""What a place without a loss of its own costs: lines that meet at an angle, or three at one place.

A line may be written as several that meet in plain junctions. Where two of them meet at an angle,
the tube is bent there as it would be at a point of one line; where three meet, there is a tee.
Neither may be lost by the way it is written.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from flowsim.errors import DomainError
from flowsim.files.case.fuel import split_message
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.line_ends import KnownNames
from flowsim.files.case.models_lines import CaseFile
from flowsim.files.case.names import ENGINE
from flowsim.files.case.routes import STRAIGHT_WITHIN, route_through
from flowsim.files.toml.lines import KeyPath
from flowsim.measures import LENGTH
from flowsim.physics.losses.fitting_catalogue import fitting, traits_of
from flowsim.physics.losses.formed_fittings import bend
from flowsim.physics.losses.laws import loss_law
from flowsim.system.lines import Line
from flowsim.system.parts import UNKNOWN_TEE, MinorLoss, Part, is_tube
from flowsim.system.points import Point


@dataclass(frozen=True, slots=True)
class _End:
    """One end of a line at a place: the line's number among the lines, whether it ends there."""

    number: int
    line: Line
    ends: bool

    @property
    def way(self) -> tuple[Point, Point] | None:
        """The place and the next point of the line; None where its course is not known."""
        route = self.line.route
        if route is None or len(route) < 2:
            return None
        return (route[-1], route[-2]) if self.ends else (route[0], route[1])

    def with_loss(self, part: Part) -> Line:
        """Give the line with one more part at this end."""
        own, *others = self.line.parts
        parts = (own, *others, part) if self.ends else (own, part, *others)
        return replace(self.line, parts=parts)


def with_joints(
    case: CaseFile, lines: Sequence[Line | None], names: KnownNames, ledger: Ledger
) -> list[Line | None]:
    """Put the losses of plain places into the lines that meet there.

    Parameters
    ----------
    case
        The file's model.
    lines
        As built, None where one could not be.
    names
        What exists.
    ledger
        Receives what is taken for a tee, and bends that cannot be.

    Returns
    -------
    list of Line or None
        Two lines at an angle (5 deg or more) at a junction: a bend, unless an elbow that stands at
        that end makes the turn. Three or more there, two or more at an outlet or the inlet: a tee
        of unknown kind. Two lines and a drain's own line: the turn of a tee.
    """
    found = list(lines)
    for path, name, most in _places(case):
        ends = list(_ends(found, name))
        feeding = [end for end in ends if end.line.name not in names.drain_lines]
        if len(feeding) > most:
            for end in feeding:
                bore = _tee_bore(case, end.line.bore)
                tee = fitting(UNKNOWN_TEE, bore, f"{name}, tee of unknown kind")
                found[end.number] = end.with_loss(replace(tee, joint=name))
            note = f"{len(feeding)} lines meet there; write it as a [[tee]]"
            ledger.default(path, f'"{UNKNOWN_TEE}" on each of its lines', note)
        elif len(feeding) == 2 and most == 2:
            at = min(feeding, key=lambda end: end.line.bore)
            if len(ends) > 2:
                loss = fitting("tee turn", _tee_bore(case, at.line.bore), f"{name}, tee turn")
                found[at.number] = at.with_loss(replace(loss, joint=name))
                note = "two lines and that of a drain meet there; write it as a [[tee]]"
                ledger.default(path, '"tee turn"', note)
            else:
                turn = _turn(case, path, name, feeding, ledger)
                found[at.number] = at.line if turn is None else at.with_loss(turn)
    return found


def _tee_bore(case: CaseFile, bore: float) -> float:
    """Give the bore of a tee that is not written as one: no wider than the case's fittings are."""
    usual = None if case.defaults is None else case.defaults.fitting_bore
    return bore if usual is None else min(bore, usual.value)


def _places(case: CaseFile) -> Iterator[tuple[KeyPath, str, int]]:
    """Give the places without a loss of their own: path, name, how many lines are no tee."""
    for index, junction in enumerate(case.junction):
        yield ("junction", index), junction.name, 2
    for index, tank in enumerate(case.tank):
        for number, outlet in enumerate(tank.outlet):
            yield ("tank", index, "outlet", number), f"{tank.name}.{outlet.name}", 1
    yield ("engine", "inlet_at"), ENGINE, 1


def _ends(lines: Sequence[Line | None], name: str) -> Iterator[_End]:
    for number, line in enumerate(lines):
        if line is None or line.start == line.end:
            continue
        if name in (line.start, line.end):
            yield _End(number, line, line.end == name)


def _turn(
    case: CaseFile, path: KeyPath, name: str, ends: Sequence[_End], ledger: Ledger
) -> MinorLoss | None:
    """Give the bend by which one line goes on into the other, if there is one."""
    ways = [end.way for end in ends]
    if any(end.line.closed or _has_elbow(case, end) for end in ends):
        return None
    if ways[0] is None or ways[1] is None:
        return None
    points = (ways[0][1], ways[0][0], ways[1][1])
    if not all(math.isfinite(value) for point in points for value in point):
        return None
    turns = route_through(points).turns
    if not turns:
        return None
    bore = min(end.line.bore for end in ends)
    stated = [end.line.bend_radius for end in ends if end.line.bend_radius is not None]
    radius = min(stated, default=bore)
    angle = turns[0].angle
    words = f"{math.degrees(angle):.0f} deg"
    if not stated:
        note = f"its lines meet at {words} there and state no bend_radius"
        ledger.default(path, f"a bend of radius {LENGTH.words(radius, 1)}", note)
    try:
        return replace(bend(angle, radius, bore, f"bend {words} at {name}"), joint=name)
    except DomainError as error:
        ledger.mistake(path, *split_message(error))
        return None


def _has_elbow(case: CaseFile, end: _End) -> bool:
    """Tell whether an elbow stands at the end of a line, and makes none of its own corners."""
    line = end.line
    turns = [
        traits_of(loss_law(part).kind(part))
        for part in line.parts
        if part not in line.outlet_parts and not is_tube(part)
    ]
    fittings = [traits for traits in turns if not traits.is_bend]
    if not fittings or not fittings[-1 if end.ends else 0].turns > STRAIGHT_WITHIN:
        return False
    elbows = sum(1 for traits in fittings if traits.turns > STRAIGHT_WITHIN)
    section = next(item for item in case.line if item.name == line.name)
    made = sum(1 for corner in section.corners or () if corner.fitting is not None)
    return elbows > made

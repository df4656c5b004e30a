"""Where every node is: stated, or reached by lines given by rise and aft."""

import math

from flowsim.files.case.given import Given, GivenPoint
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models_lines import CaseFile, LineSection
from flowsim.files.case.names import ENGINE, KnownNames
from flowsim.files.units.examples import example_words
from flowsim.files.units.quantities import in_unit_of, shown
from flowsim.system.points import Point

Places = dict[str, Point]
"""Node names to places; coordinates that could not be read are NaN."""

_LEAST_DIFFERENCE = 1e-3
_SHARE = 0.01


def point_of(given: GivenPoint) -> Point:
    """Give the point [m] that was given.

    Parameters
    ----------
    given
        Three lengths.

    Returns
    -------
    Point
        NaN where a length could not be read.
    """
    return Point(*(axis.value for axis in given))


def is_readable(point: Point) -> bool:
    """Tell whether all three coordinates could be read.

    Parameters
    ----------
    point
        Any point.

    Returns
    -------
    bool
        False if a coordinate is NaN.
    """
    return not any(math.isnan(axis) for axis in point)


def locate(case: CaseFile, names: KnownNames, ledger: Ledger) -> Places:
    """Find the place of every node.

    Parameters
    ----------
    case
        The file's model.
    names
        What exists.
    ledger
        Receives mistakes and defaults.

    Returns
    -------
    Places
        Every node that has a place; the others are reported.
    """
    places = _stated(case, names)
    waiting = [line for line in case.line if _gives_step(line)]
    progress = True
    while progress:
        progress = False
        for line in list(waiting):
            ends = (line.start in places, line.to in places)
            if ends == (False, False):
                continue
            waiting.remove(line)
            if ends == (True, False) and line.to in names.ends:
                places[line.to] = _moved(places[line.start], line, 1.0)
                progress = True
            elif ends == (False, True) and line.start in names.ends:
                places[line.start] = _moved(places[line.to], line, -1.0)
                progress = True
    _report_unlocated(case, names, places, ledger)
    for index, line in enumerate(case.line):
        _check_step(line, index, places, ledger)
    return places


def _stated(case: CaseFile, names: KnownNames) -> Places:
    """Collect the places that are written in the file."""
    places: Places = {ENGINE: point_of(case.engine.inlet_at)}
    for tank in case.tank:
        for outlet in tank.outlet:
            places[f"{tank.name}.{outlet.name}"] = point_of(outlet.at)
    stated = [(junction.name, junction.at) for junction in case.junction]
    stated += [(tee.name, tee.at) for tee in case.tee]
    stated += [(selector.name, selector.at) for selector in case.selector]
    stated += [(drain.name, drain.at) for drain in case.drain if drain.name in names.drains]
    for name, at in stated:
        if at is not None:
            places.setdefault(name, point_of(at))
    return places


def _gives_step(line: LineSection) -> bool:
    return line.rise is not None and line.aft is not None


def _moved(start: Point, line: LineSection, sense: float) -> Point:
    """Go along a line from one end to the other, ``sense`` -1 against its direction."""
    aft, right, rise = (0.0 if g is None else g.value for g in (line.aft, line.right, line.rise))
    return Point(start[0] + sense * aft, start[1] + sense * right, start[2] + sense * rise)


def _report_unlocated(case: CaseFile, names: KnownNames, places: Places, ledger: Ledger) -> None:
    at = example_words('at = ["30 in", "0 in", "30 in"]')
    remedy = f"write {at}, or give a line to it length, rise and aft"
    for name, path in names.nodes.items():
        if name in places:
            continue
        hangs_on = [
            end
            for line in case.line
            if _gives_step(line) and name in (line.start, line.to)
            for end in (line.start, line.to)
            if end != name
        ]
        if hangs_on:
            others = ", ".join(shown(end) for end in hangs_on)
            problem = f"its place depends on {others}, which depends on it or has no place either"
        elif any(
            name in (line.start, line.to) and (line.rise is not None or line.aft is not None)
            for line in case.line
        ):
            problem = "its place is not known (a line to it gives only one of rise and aft)"
        else:
            problem = "its place is not known"
        ledger.mistake(path, problem, remedy)


def _check_step(line: LineSection, index: int, places: Places, ledger: Ledger) -> None:
    """Check a line's rise, aft and right against the places of its ends."""
    start, end = places.get(line.start), places.get(line.to)
    if start is None or end is None:
        return
    if _gives_step(line) and line.right is None:
        ledger.default(("line", index, "right"), "0", "its end lies neither right nor left")
    difference = Point(end[0] - start[0], end[1] - start[1], end[2] - start[2])
    allowed = max(_LEAST_DIFFERENCE, _SHARE * math.hypot(*difference))
    steps: tuple[tuple[str, Given | None, float], ...] = (
        ("aft", line.aft, difference.station),
        ("right", line.right, difference.buttline),
        ("rise", line.rise, difference.waterline),
    )
    for key, given, actual in steps:
        if given is None or given.quantity is None or not abs(given.value - actual) > allowed:
            continue
        ledger.mistake(
            ("line", index, key),
            f"{shown(given.text)} contradicts the places of its ends, which give "
            f"{in_unit_of(actual, given.quantity)}",
            "correct one of them",
        )

"""Refill after a tank has run dry: whether the air in the line can rise back to the outlet."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from flowsim.network.assembly import Assembly, assemble
from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.network.routes import paths
from flowsim.physics.air.trapped import flooding_flow
from flowsim.physics.arrays import FloatArray
from flowsim.physics.course.height_profile import profile, upward
from flowsim.studies.delivery.trapped_air import SURFACE_TENSION
from flowsim.studies.routing.basins import LEVEL_ENOUGH
from flowsim.studies.routing.courses import LaidLine, place_on
from flowsim.studies.routing.result import AttitudeView, Refill, Venting
from flowsim.system.fuel_system import FuelSystem


@dataclass(frozen=True, slots=True)
class _Step:
    """A span as it is met on the way down from an outlet: fall [m], where it ends, its line."""

    fall: float
    end: str
    line: LaidLine


def refills(
    system: FuelSystem, lines: Sequence[LaidLine], views: Sequence[AttitudeView]
) -> tuple[Refill, ...]:
    """Tell for each outlet whether the line below it vents itself when the tank is filled again.

    Parameters
    ----------
    system : FuelSystem
    lines : sequence of LaidLine
    views : sequence of AttitudeView

    Returns
    -------
    tuple of Refill
        The worst of all ways from the outlet to the inlet, valves open. A way vents itself when it
        falls without a break to its lowest point, so that air rises without a break.

    References
    ----------
    ``flooding_flow``: an upper bound for the fuel that passes the rising air.
    """
    assembly = assemble(system)
    named = {line.name: line for line in lines}
    allowed = np.array(
        [
            0 if line.closed or line.name not in named else FORWARD | BACKWARD
            for line in system.lines
        ],
        dtype=np.int8,
    )
    allowed = np.append(allowed, [0] * (len(assembly.network.links) - len(allowed)))
    found = []
    for view in views:
        for node, _, _ in assembly.outlets:
            ways = [
                _way(assembly, named, path, upward(view.gravity))
                for path in paths(assembly, allowed, node)
            ]
            answers = [
                _answer(way, assembly.network.node_names[node], view.name, system.fuel.density_15)
                for way in ways
                if way
            ]
            if answers:
                found.append(max(answers, key=lambda item: list(Venting).index(item.answer)))
    return tuple(found)


def _way(
    assembly: Assembly,
    named: dict[str, LaidLine],
    path: tuple[tuple[int, bool], ...],
    up: FloatArray,
) -> list[_Step]:
    steps: list[_Step] = []
    for link, turned in path:
        line = named[assembly.system.lines[link].name]
        spans = profile(line.centre, up)
        for number, span in enumerate(reversed(spans) if turned else spans):
            fall = span.start_height - span.end_height
            at_node = number == len(spans) - 1
            along = span.start if turned else span.end
            node = line.start if turned else line.end
            words = node if at_node else place_on(line, along, span.piece, turned).key
            steps.append(_Step(-fall if turned else fall, words, line))
    return steps


def _answer(way: list[_Step], outlet: str, attitude: str, density: float) -> Refill:
    heights = np.cumsum([-step.fall for step in way])
    lowest = int(np.argmin(heights))
    if heights[lowest] >= -LEVEL_ENOUGH:
        lowest = 0
    falling = way[: lowest + 1]
    broken = _first_hump(falling)
    known = all(step.line.known for step in falling)
    bore = min(step.line.bore for step in falling)
    answer = Venting.VENTS_ITSELF if known else Venting.NOT_KNOWN
    if broken:
        answer = Venting.HOLDS_AIR
    return Refill(
        outlet=outlet,
        attitude=attitude,
        answer=answer,
        down_to=way[lowest].end,
        broken_at=broken,
        bore=bore,
        flow=float(flooding_flow(bore, density, SURFACE_TENSION)),
    )


def _first_hump(falling: list[_Step]) -> str:
    """Name the end of the first stretch that rises on the way down, "" if there is none."""
    name = ""
    for step in falling:
        if step.fall < -LEVEL_ENOUGH:
            name = step.end
        elif name and step.fall > LEVEL_ENOUGH:
            return name
    return name

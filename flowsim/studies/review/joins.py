"""Outlets, ports and positions that a case likely joins otherwise than was meant."""

import math
from collections.abc import Iterator

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.studies.judged.joined import never_parted
from flowsim.studies.judged.scenarios import fed_tanks
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import Tank

PARKED_SLOPE = math.radians(1.0)
"""[rad] Slope on which fuel runs between joined tanks, to say how much. Tag: common practice."""


def join_words(assembly: Assembly) -> Iterator[Said]:
    """Say what is joined to nothing, never opened, never isolated, crossed or not judged.

    Parameters
    ----------
    assembly : Assembly

    Yields
    ------
    str
    """
    yield from _loose_outlets(assembly.system)
    yield from _shut_ports(assembly.system)
    yield from _never_isolated(assembly)
    yield from _crossed(assembly)
    yield from _not_judged(assembly)


def _loose_outlets(system: FuelSystem) -> Iterator[Said]:
    ends = {end for line in system.lines for end in (line.start, line.end)}
    for node, (tank, outlet) in system.outlet_nodes().items():
        if node not in ends:
            yield (
                saying(
                    "joins.outlet_tank_joined_no",
                    outlet=outlet.name,
                    tank=tank.name,
                    bore=outlet.bore,
                )
            )


def _shut_ports(system: FuelSystem) -> Iterator[Said]:
    for selector in system.selectors:
        opened = {port for ports in selector.positions.values() for port in ports}
        for port, line in selector.ports.items():
            if port not in opened:
                yield (
                    saying(
                        "joins.no_position_opens_port",
                        port=port,
                        selector=selector.name,
                        line=line,
                        positions=len(selector.positions),
                    )
                )


def _never_isolated(assembly: Assembly) -> Iterator[Said]:
    """Name tanks between which fuel can run whatever the selectors say."""
    tanks = assembly.system.tanks
    for first, second in never_parted(assembly):
        pair = (tanks[first], tanks[second])
        apart = math.dist(_middle(pair[0])[:2], _middle(pair[1])[:2])
        yield (
            saying(
                "joins.tanks_joined_every_position",
                one=pair[0].name,
                other=pair[1].name,
                apart=apart * math.tan(PARKED_SLOPE),
            )
        )


def _middle(tank: Tank) -> tuple[float, float, float]:
    """Give the middle of a tank's outlets."""
    places = np.array([outlet.at for outlet in tank.outlets], dtype=np.float64)
    station, buttline, waterline = places.mean(axis=0)
    return float(station), float(buttline), float(waterline)


def _crossed(assembly: Assembly) -> Iterator[Said]:
    """Name positions and tanks called left that lie right of the tanks' middle, and vice versa."""
    system = assembly.system
    if len(system.tanks) < 2:
        return
    sides = [_middle(tank)[1] for tank in system.tanks]
    centre = float(np.mean(sides))
    for selector in system.selectors:
        for name in selector.positions:
            for index, position in enumerate(assembly.positions):
                if position.name != name and f"{selector.name}: {name}" not in position.name:
                    continue
                fed = sorted(fed_tanks(assembly, index))
                away = [sides[tank] - centre for tank in fed]
                if fed and _is_wrong_side(name, away):
                    tanks = tuple(system.tanks[tank].name for tank in fed)
                    yield (
                        saying(
                            "joins.position_feeds_tank_whose",
                            name=name,
                            tanks=tanks,
                            side=_side_words(away),
                        )
                    )
                    break
    for tank, side in zip(system.tanks, sides, strict=True):
        if _is_wrong_side(tank.name, [side - centre]):
            yield (
                saying(
                    "joins.tank_lies_tanks_middle",
                    tank=tank.name,
                    side=_side_words([side - centre]),
                )
            )


def _is_wrong_side(name: str, away: list[float]) -> bool:
    """Tell whether everything lies on the side that the name does not say."""
    words = name.casefold().replace("-", " ").replace("_", " ").split()
    if ("left" in words) == ("right" in words):
        return False
    return all(side > 0.0 for side in away) if "left" in words else all(s < 0.0 for s in away)


def _side_words(away: list[float]) -> Said:
    furthest = max(away, key=abs)
    right = furthest > 0.0
    return saying("joins.to_the_right" if right else "joins.to_the_left", away=abs(furthest))


def _not_judged(assembly: Assembly) -> Iterator[Said]:
    """Name positions that feed the engine and are not judged."""
    for selector in assembly.system.selectors:
        for name, ports in selector.positions.items():
            if not ports or name in selector.judged:
                continue
            yield saying(
                "joins.not_judged" if len(ports) == 1 else "joins.several_not_judged",
                name=name,
                selector=selector.name,
                count=len(ports),
                lines=tuple(selector.ports[port] for port in ports),
            )

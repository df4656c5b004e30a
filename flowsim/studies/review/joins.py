"""Outlets, ports and positions that a case likely joins otherwise than was meant."""

import math
from collections.abc import Iterator

import numpy as np

from flowsim.measures import LENGTH
from flowsim.network.assembly import Assembly
from flowsim.studies.judged.joined import never_parted
from flowsim.studies.judged.scenarios import fed_tanks
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import Tank

PARKED_SLOPE = math.radians(1.0)
"""[rad] Slope on which fuel runs between joined tanks, to say how much. Tag: common practice."""


def join_words(assembly: Assembly) -> Iterator[str]:
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


def _loose_outlets(system: FuelSystem) -> Iterator[str]:
    ends = {end for line in system.lines for end in (line.start, line.end)}
    for node, (tank, outlet) in system.outlet_nodes().items():
        if node not in ends:
            yield (
                f'Outlet "{outlet.name}" of tank "{tank.name}" is joined to no line: nothing feeds '
                f"through its {LENGTH.words(outlet.bore, 1)}; join it by a line, or take it out "
                f"and "
                "plug the port."
            )


def _shut_ports(system: FuelSystem) -> Iterator[str]:
    for selector in system.selectors:
        opened = {port for ports in selector.positions.values() for port in ports}
        for port, line in selector.ports.items():
            if port not in opened:
                yield (
                    f'No position opens port "{port}" of selector "{selector.name}": line "{line}" '
                    f"feeds in none of {len(selector.positions)} positions; name it in the "
                    "positions that open it, or take it out."
                )


def _never_isolated(assembly: Assembly) -> Iterator[str]:
    """Name tanks between which fuel can run whatever the selectors say."""
    tanks = assembly.system.tanks
    for first, second in never_parted(assembly):
        pair = (tanks[first], tanks[second])
        apart = math.dist(_middle(pair[0])[:2], _middle(pair[1])[:2])
        yield (
            f'Tanks "{pair[0].name}" and "{pair[1].name}" are joined in every position: they '
            "cannot be isolated. Parked, 1 deg of slope moves fuel until their depths differ by "
            f"{LENGTH.words(apart * math.tan(PARKED_SLOPE), 0)}, and out of a vent if it is "
            f"lower; fit "
            "a shut-off or a position that parts them, and see `flowsim flight --transfer`."
        )


def _middle(tank: Tank) -> tuple[float, float, float]:
    """Give the middle of a tank's outlets."""
    places = np.array([outlet.at for outlet in tank.outlets], dtype=np.float64)
    station, buttline, waterline = places.mean(axis=0)
    return float(station), float(buttline), float(waterline)


def _crossed(assembly: Assembly) -> Iterator[str]:
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
                    tanks = " and ".join(f'"{system.tanks[tank].name}"' for tank in fed)
                    yield (
                        f'Position "{name}" feeds from tank {tanks}, whose outlet lies '
                        f"{_side_words(away)} of the tanks' middle; correct the ports of the "
                        "position, or the sign of the buttlines (right is positive)."
                    )
                    break
    for tank, side in zip(system.tanks, sides, strict=True):
        if _is_wrong_side(tank.name, [side - centre]):
            yield (
                f'Tank "{tank.name}" lies {_side_words([side - centre])} of the tanks\' middle; '
                "correct its name, or the sign of the buttlines (right is positive)."
            )


def _is_wrong_side(name: str, away: list[float]) -> bool:
    """Tell whether everything lies on the side that the name does not say."""
    words = name.casefold().replace("-", " ").replace("_", " ").split()
    if ("left" in words) == ("right" in words):
        return False
    return all(side > 0.0 for side in away) if "left" in words else all(s < 0.0 for s in away)


def _side_words(away: list[float]) -> str:
    furthest = max(away, key=abs)
    return f"{LENGTH.words(abs(furthest), 0)} to the {'right' if furthest > 0.0 else 'left'}"


def _not_judged(assembly: Assembly) -> Iterator[str]:
    """Name positions that feed the engine and are not judged."""
    for selector in assembly.system.selectors:
        for name, ports in selector.positions.items():
            if not ports or name in selector.judged:
                continue
            lines = " and ".join(f'"{selector.ports[port]}"' for port in ports)
            yield (
                f'Position "{name}" of selector "{selector.name}" feeds the engine and is not '
                f"judged: nothing is said of {len(ports)} line{'s' if len(ports) > 1 else ''} "
                f"({lines}) in it; add it to judged, or placard it against take-off and climb."
            )

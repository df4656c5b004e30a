"""Small networks for tests, written as names and parts."""

from collections.abc import Mapping, Sequence

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.conditions import Conditions
from flowsim.network.elements import Link, Network, PlacedPart
from flowsim.network.reach import Reach, reach
from flowsim.system.parts import Exit, MinorLoss, OneWayValve, Part, Pipe, QuadraticLoss

PETROL_VISCOSITY, PETROL_DENSITY = 0.65e-6, 720.0
VELOCITY_HEAD = 1.0 / (2.0 * STANDARD_GRAVITY)


def tube(length: float = 1.0, bore: float = 7.75e-3, roughness: float = 1.5e-6) -> Pipe:
    return Pipe(name="tube", length=length, bore=bore, roughness=roughness)


def fitting(k: float, bore: float = 7.75e-3, k_laminar: float = 0.0) -> MinorLoss:
    return MinorLoss(name="fitting", kind="stated", bore=bore, k_inf=k, k_laminar=k_laminar)


def quadratic(coefficient: float) -> QuadraticLoss:
    return QuadraticLoss(name="loss", kind="stated", bore=7.75e-3, coefficient=coefficient)


def living(
    of: Network, allowed: Sequence[int] | None = None, shut: Sequence[bool] | None = None
) -> Reach:
    """What lives in one scenario; everything open and nothing shut unless told."""
    count = len(of.links)
    codes = np.full((1, count), 3, dtype=np.int8) if allowed is None else np.int8([allowed])
    closed = np.zeros((1, count), dtype=bool) if shut is None else np.array([shut], dtype=bool)
    return reach(of, codes, closed)


def one_way_valve(cracking_pressure: float = 0.0, kv: float = 1.0) -> OneWayValve:
    return OneWayValve(name="valve", bore=7.75e-3, cracking_pressure=cracking_pressure, kv=kv)


def network(
    fixed: Sequence[str], links: Sequence[tuple[str, str, Sequence[Part | Exit]]]
) -> Network:
    """Make a network; links are (from, to, parts), an exit costs towards the link's end.

    A link is named "from-to", and "from-to 1", "from-to 2" (its place among the links) where
    several join the same nodes.
    """
    names = tuple(dict.fromkeys([*fixed, *(name for link in links for name in link[:2])]))
    ends = [link[:2] for link in links]
    made = tuple(
        Link(
            name=f"{start}-{end}" + (f" {index}" if ends.count((start, end)) > 1 else ""),
            start=names.index(start),
            end=names.index(end),
            parts=tuple(
                PlacedPart(
                    part=part,
                    key=f"{index} {place}",
                    direction=1 if isinstance(part, Exit) else 0,
                )
                for place, part in enumerate(parts)
            ),
        )
        for index, (start, end, parts) in enumerate(links)
    )
    return Network(names, np.array([name in fixed for name in names]), made)


def conditions(
    of: Network,
    heads: Mapping[str, npt.ArrayLike],
    *,
    demands: Mapping[str, npt.ArrayLike] | None = None,
    allowed: Mapping[str, npt.ArrayLike] | None = None,
    held: Mapping[str, npt.ArrayLike] | None = None,
    viscosity: float = PETROL_VISCOSITY,
    density: float = PETROL_DENSITY,
) -> Conditions:
    """Impose heads and demands by node name, open directions and held heads by link name."""
    values = [*heads.values(), *(demands or {}).values(), *(held or {}).values()]
    count = np.broadcast_shapes(*(np.atleast_1d(value).shape for value in values))[0]
    nodes = {name: index for index, name in enumerate(of.node_names)}
    links = {link.name: index for index, link in enumerate(of.links)}

    def filled(width: int, default: float, index: dict[str, int], given: Mapping | None):
        table = np.full((count, width), default)
        for name, value in (given or {}).items():
            table[:, index[name]] = value
        return table

    return Conditions(
        fixed_head=filled(len(nodes), np.nan, nodes, heads),
        demand=filled(len(nodes), 0.0, nodes, demands),
        allowed=filled(len(links), 3, links, allowed).astype(np.int8),
        kinematic_viscosity=np.full(count, viscosity),
        density=np.full(count, density),
        held_head=filled(len(links), 0.0, links, held),
        screen_clear=np.full(count, np.nan),
    )

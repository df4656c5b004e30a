"""What sits in each link, in order: the parts of a line, what its ends add, the steps of bore."""

import math
from collections.abc import Sequence
from typing import overload

import numpy as np

from flowsim.network.bores import inlet_bore, steps, with_steps
from flowsim.network.elements import PlacedPart, key_head
from flowsim.physics.fuel.properties import kinematic_viscosity
from flowsim.physics.losses.fitting_catalogue import tee_losses
from flowsim.physics.losses.laws import loss_law
from flowsim.physics.losses.measured_drop import with_liquid
from flowsim.system.engine import Carburettor
from flowsim.system.fuel import Fuel
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Line, Selector, Tee
from flowsim.system.parts import Exit, MeasuredDrop, Part, is_tube
from flowsim.system.tanks import Outlet, Tank

OPEN_AIR, OPEN_END = "open air", "open end"
"""What the results call the place behind an open end, and the way there."""
FLOAT_BOWL, CARBURETTOR_LINK = "float bowl", "carburettor"
"""What they call the place behind the carburettor's inlet, and the way there."""
RESERVED = (OPEN_AIR, OPEN_END, FLOAT_BOWL, CARBURETTOR_LINK)
"""Names that a case may not give to a tank, a line or a place where lines meet."""

REFERENCE = 288.15
"""[K] 15 degC: what a reading whose liquid is not described was taken at. Tag: common practice."""


def line_parts(system: FuelSystem, line: Line, bores: dict[str, float]) -> tuple[PlacedPart, ...]:
    """Give everything in a line from its start to its end.

    Parameters
    ----------
    system : FuelSystem
    line : Line
        Of the system.
    bores : dict of name to bore
        [m] of the places where lines meet.

    Returns
    -------
    tuple of PlacedPart
    """
    keyed = _keyed(line.name, line.parts, system.fuel)
    own, _ = with_steps(keyed, bores[line.start], bores[line.end])
    return (
        *_end_parts(system, line, at_start=True),
        *own,
        *_end_parts(system, line, at_start=False),
    )


def _keyed(owner: str, parts: Sequence[Part], fuel: Fuel) -> list[PlacedPart]:
    return [
        PlacedPart(
            part=of_liquid(part, fuel), key=f"{key_head(owner)}{part.name} #{number}", owner=owner
        )
        for number, part in enumerate(parts)
    ]


@overload
def of_liquid(part: MeasuredDrop, fuel: Fuel) -> MeasuredDrop: ...
@overload
def of_liquid(part: Part, fuel: Fuel) -> Part: ...
def of_liquid(part: Part, fuel: Fuel) -> Part:
    """Give a measured table the liquid that it does not state.

    Parameters
    ----------
    part : Part
        Any; what is no measured table, or states its liquid, is given back as it is.
    fuel : Fuel

    Returns
    -------
    Part
    """
    if not isinstance(part, MeasuredDrop) or part.viscosity is not None:
        return part
    return with_liquid(part, float(kinematic_viscosity(fuel, np.array(REFERENCE))))


def _end_parts(system: FuelSystem, line: Line, *, at_start: bool) -> tuple[PlacedPart, ...]:
    """Give what the node at one end of a line adds to the line."""
    node_name = line.start if at_start else line.end
    found = system.outlet_nodes().get(node_name)
    if found is not None:
        return _outlet_parts(*found, at_start=at_start)
    for node in system.nodes:
        if node.name != node_name:
            continue
        if isinstance(node, Tee):
            return _tee_parts(node, line)
        if isinstance(node, Selector):
            loss = of_liquid(node.loss, system.fuel)
            return (PlacedPart(part=loss, key=f"selector {node.name}", share=0.5),)
    return ()


def _outlet_parts(tank: Tank, outlet: Outlet, *, at_start: bool) -> tuple[PlacedPart, ...]:
    """Entrance, screen and, against the flow, exit of a tank outlet, as seen along the line."""
    name = f"{tank.name}.{outlet.name}"
    entrance = PlacedPart(
        part=outlet.entrance,
        key=f"{name} entrance",
        direction=1 if at_start else -1,
        is_entrance=True,
    )
    leaving = PlacedPart(
        part=Exit(name=f"exit into {tank.name}", bore=outlet.bore),
        key=f"{name} exit",
        direction=-1 if at_start else 1,
    )
    parts = [entrance, leaving]
    if outlet.screen is not None:
        parts.append(PlacedPart(part=outlet.screen, key=f"{name} screen"))
    return tuple(parts if at_start else reversed(parts))


def _tee_parts(tee: Tee, line: Line) -> tuple[PlacedPart, ...]:
    """Give the loss of one leg of a tee, on the leg's own flow."""
    return tuple(
        PlacedPart(part=loss, key=f"tee {tee.name} {line.name}")
        for name, loss in tee_losses(tee)
        if name == line.name
    )


def open_end_parts(system: FuelSystem, bores: dict[str, float]) -> tuple[PlacedPart, ...]:
    """Give what is lost where the line is off at the carburettor.

    Parameters
    ----------
    system : FuelSystem
    bores : dict of name to bore
        [m] of the places where lines meet.

    Returns
    -------
    tuple of PlacedPart
        The kinetic energy in the last piece of the line.
    """
    bore = inlet_bore(system)
    leaving = Exit(name="open end (kinetic energy)", bore=bore)
    return (
        *steps(bores[system.engine.inlet], bore),
        PlacedPart(part=leaving, key=OPEN_END, direction=1),
    )


def carburettor_parts(
    system: FuelSystem, carburettor: Carburettor, bores: dict[str, float]
) -> tuple[PlacedPart, ...]:
    """Give what lies behind the inlet.

    Parameters
    ----------
    system : FuelSystem
    carburettor : Carburettor
        Of the system.
    bores : dict of name to bore
        [m] of the places where lines meet.

    Returns
    -------
    tuple of PlacedPart
        Its parts; then the kinetic energy: what a gauge at the inlet does not show of the pressure
        that is asked for there, or what no seat has taken up on the way into the bowl.
    """
    into = steps(bores[system.engine.inlet], inlet_bore(system))
    own, bore = with_steps(
        _keyed(CARBURETTOR_LINK, carburettor.parts, system.fuel), inlet_bore(system), end=math.nan
    )
    placed = (*into, *own)
    if carburettor.least_inlet_pressure is not None:
        kinetic = Exit(name="velocity head at the inlet", bore=bore)
        return (*placed, PlacedPart(part=kinetic, key="inlet velocity", direction=1))
    if _is_swallowed(carburettor.parts):
        return placed
    kinetic = Exit(name="exit into the float bowl", bore=bore)
    return (*placed, PlacedPart(part=kinetic, key="bowl exit", direction=1))


def _is_swallowed(parts: Sequence[Part]) -> bool:
    """Tell whether behind the last tube a part takes up the kinetic energy with its own loss."""
    for part in reversed(parts):
        if is_tube(part):
            return False
        if loss_law(part).takes_kinetic:
            return True
    return False

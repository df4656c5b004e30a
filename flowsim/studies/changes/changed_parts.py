"""Fuel systems with a part changed: replaced, scaled, blocked; every other part stays as it is."""

import math
from collections.abc import Callable
from dataclasses import replace

from flowsim.errors import DomainError
from flowsim.measures import BORE, PRESSURE, VOLUME_FLOW
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Selector
from flowsim.system.parts import (
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    OneWayValve,
    Orifice,
    Part,
    Pipe,
    QuadraticLoss,
    Screen,
)

Change = Callable[[str, Part], Part]
"""Takes a part and the name of where it sits (a line, tank.outlet, selector, "carburettor")."""


def changed_parts(system: FuelSystem, change: Change) -> FuelSystem:
    """Apply a change to every part of a system.

    Parameters
    ----------
    system : FuelSystem
    change : callable
        Called with the owner's name and each part; gives the part to put in its place. An outlet's
        entrance stays.

    Returns
    -------
    FuelSystem
    """
    lines = tuple(
        replace(line, parts=tuple(change(line.name, part) for part in line.parts))
        for line in system.lines
    )
    nodes = tuple(
        replace(node, loss=change(node.name, node.loss)) if isinstance(node, Selector) else node
        for node in system.nodes
    )
    tanks = tuple(
        replace(
            tank,
            outlets=tuple(
                outlet
                if outlet.screen is None
                else replace(outlet, screen=_screen(change, tank.name, outlet.name, outlet.screen))
                for outlet in tank.outlets
            ),
        )
        for tank in system.tanks
    )
    engine = system.engine
    if engine.carburettor is not None:
        parts = tuple(change("carburettor", part) for part in engine.carburettor.parts)
        engine = replace(engine, carburettor=replace(engine.carburettor, parts=parts))
    return replace(system, lines=lines, nodes=nodes, tanks=tanks, engine=engine)


def _screen(change: Change, tank: str, outlet: str, screen: Screen) -> Screen:
    changed = change(f"{tank}.{outlet}", screen)
    if not isinstance(changed, Screen):
        raise DomainError(f'the screen of outlet "{tank}.{outlet}" can only be another screen')
    return changed


def named_parts(system: FuelSystem, name: str) -> tuple[tuple[str, Part], ...]:
    """Find the parts of a name, with their owners.

    Parameters
    ----------
    system : FuelSystem
    name : str
        A part's name, or ``owner: part`` where several have it.

    Returns
    -------
    tuple of (str, Part)

    Raises
    ------
    DomainError
        When no part has the name; says which there are.
    """
    found: list[tuple[str, Part]] = []
    known: list[str] = []

    def look(owner: str, part: Part) -> Part:
        known.append(part.name)
        if is_named(owner, part, name):
            found.append((owner, part))
        return part

    changed_parts(system, look)
    if not found:
        listed = ", ".join(f'"{word}"' for word in sorted(set(known)))
        raise DomainError(f'no part is called "{name}"; there are {listed}')
    return tuple(found)


def is_named(owner: str, part: Part, name: str) -> bool:
    """Tell whether a part goes by a name, alone or as ``owner: part``."""
    return name in (part.name, f"{owner}: {part.name}")


def with_part(system: FuelSystem, name: str, new: Change) -> FuelSystem:
    """Replace every part of a name.

    Parameters
    ----------
    system : FuelSystem
    name : str
        As for ``named_parts``.
    new : callable
        Owner and old part to new part.

    Returns
    -------
    FuelSystem

    Raises
    ------
    DomainError
        When no part has the name.
    """
    named_parts(system, name)
    return changed_parts(
        system, lambda owner, part: new(owner, part) if is_named(owner, part, name) else part
    )


def scaled(part: Part, factor: float) -> Part:
    """Give a part that loses ``factor`` times as much at every flow.

    Parameters
    ----------
    part : Part
    factor : float
        > 0 [-].

    Returns
    -------
    Part

    Raises
    ------
    DomainError
        For tube, hose and screens, whose loss is not one number: change their size or clear
        fraction instead.
    """
    if isinstance(part, MinorLoss):
        return replace(part, k_inf=part.k_inf * factor, k_laminar=part.k_laminar * factor)
    if isinstance(part, FlowCoefficient):
        root = math.sqrt(factor)
        return replace(part, kv=part.kv / root, k_laminar=part.k_laminar * factor)
    if isinstance(part, OneWayValve):
        return replace(part, kv=part.kv / math.sqrt(factor))
    if isinstance(part, Orifice):
        cd = part.discharge_coefficient / math.sqrt(factor)
        return replace(part, discharge_coefficient=cd)
    if isinstance(part, MeasuredDrop):
        return replace(part, drops=tuple(drop * factor for drop in part.drops))
    if isinstance(part, QuadraticLoss):
        return replace(part, coefficient=part.coefficient * factor)
    kind = "tube or hose" if isinstance(part, Pipe) else "a screen"
    raise DomainError(
        f'"{part.name}" is {kind}, whose loss is not one number; ask for its size or its clear '
        "fraction instead"
    )


def loss_words(part: Part) -> str:
    """Say the number that a part's loss goes by."""
    if isinstance(part, MinorLoss):
        many = f" each of {part.count}" if part.count > 1 else ""
        law = f"K {part.k_inf:.4g} + {part.k_laminar:.4g}/Re{many}"
        return f"{law} on {BORE.significant(part.bore, 4)}"
    if isinstance(part, FlowCoefficient | OneWayValve):
        return f"Kv {part.kv:.4g} m3/h"
    if isinstance(part, Orifice):
        return f"Cd {part.discharge_coefficient:.3g} on {BORE.significant(part.bore, 4)}"
    if isinstance(part, MeasuredDrop):
        flow = VOLUME_FLOW.significant(part.flows[-1], 4)
        return f"{PRESSURE.significant(part.drops[-1], 4)} at {flow}"
    if isinstance(part, QuadraticLoss):
        return f"c {part.coefficient:.4g} s2/m5"
    if isinstance(part, Screen):
        return f"{100 * part.clear_fraction:.0f} % clear"
    return f"bore {BORE.significant(part.bore, 4)}"

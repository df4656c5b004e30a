"""Fuel systems with a part changed: replaced, scaled, blocked; every other part stays as it is."""

from collections.abc import Callable
from dataclasses import replace

from flowsim.errors import DomainError
from flowsim.physics.losses.laws import loss_law
from flowsim.physics.losses.loss_law import LossLaw
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Selector
from flowsim.system.parts import AnyPart, Part, Screen

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
    law: LossLaw[Part] = loss_law(part)
    return law.scaled(part, factor)


def loss_words(part: AnyPart) -> str:
    """Say the number that a part's loss goes by."""
    return loss_law(part).numbers(part)

"""What is assumed of measured tables, and what is said where they are read off their readings."""

from collections.abc import Iterator

import numpy as np

from flowsim.constants import STANDARD_TEMPERATURE
from flowsim.measures import DENSITY, TEMPERATURE, VOLUME_FLOW
from flowsim.network.placing import of_liquid
from flowsim.physics.losses.fitting_catalogue import tee_losses
from flowsim.physics.losses.measured_drop import WATER_VISCOSITY
from flowsim.studies.judged.sweep import Sweep
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Selector, Tee
from flowsim.system.parts import AnyPart, MeasuredDrop, Part, is_table, is_tube


def table_assumptions(system: FuelSystem) -> tuple[str, ...]:
    """List what is assumed of every measured table: its exponent, its liquid.

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    tuple of str
    """
    words: list[str] = []
    for owner, part in _parts(system):
        if is_table(part):
            words += [
                f"{part.name} ({owner}): {said}" for said in _assumed(of_liquid(part, system.fuel))
            ]
    return tuple(dict.fromkeys(words))


def _parts(system: FuelSystem) -> Iterator[tuple[str, Part]]:
    """Give every part that has a loss, with what it is in."""
    for line in system.lines:
        yield from ((line.name, part) for part in line.parts)
    for name, (_, outlet) in system.outlet_nodes().items():
        yield name, outlet.entrance
        if outlet.screen is not None:
            yield name, outlet.screen
    for node in system.nodes:
        if isinstance(node, Tee):
            yield from ((node.name, part) for _, part in tee_losses(node))
        elif isinstance(node, Selector):
            yield node.name, node.loss
    if system.engine.carburettor is not None:
        yield from (("carburettor", part) for part in system.engine.carburettor.parts)


def _assumed(part: MeasuredDrop) -> Iterator[str]:
    first = _flow_words(part.flows[0])
    if len(part.flows) == 1:
        yield (
            f"one reading, at {first}: its loss is taken as a straight line below it and as the "
            "square of the flow above; measure it at two flows or more"
        )
    else:
        yield (
            f"below its first reading, at {first}, its loss is taken as a straight line down to no "
            "flow"
        )
    if not part.viscosity_is_assumed or part.viscosity is None:
        return
    liquid = "water" if part.viscosity == WATER_VISCOSITY else "the fuel"
    yield (
        f"the viscosity of the liquid of its readings ({DENSITY.words(part.density, 0)}) is not "
        f"said; "
        f"taken as that of {liquid} at {TEMPERATURE.words(STANDARD_TEMPERATURE, 0)} "
        f"({1e6 * part.viscosity:.3g} mm2/s), and a thinner "
        "fuel gets no credit; write viscosity"
    )


def _flow_words(flow: float) -> str:
    return f"{VOLUME_FLOW.significant(flow, 4)}"


def outside_words(sweep: Sweep, judged: int, part: int) -> str:
    """Say that a part's law is used outside its range in a judged scenario, and what would help."""
    found = sweep.assembly.network.placed[part].part
    if is_tube(found) and found.friction_factor is not None:
        return (
            f"the friction factor {found.friction_factor:g} of {found.name} is smaller than that "
            "of any pipe at so little flow: leave friction_factor out, then the law is taken"
        )
    words = f"the law of {found.name} is used outside the range it was measured in"
    if not is_table(found):
        return words
    return f"{words} ({_range_words(found)}): measure it at {_needed(sweep, judged, part)}"


def below_words(sweep: Sweep, judged: int) -> tuple[str, ...]:
    """Say which tables are read below their first reading in a judged scenario (index)."""
    placed = sweep.assembly.network.placed
    return tuple(
        f"{placed[part].part.name} is used below its lowest reading "
        f"({_range_words(placed[part].part)}), on a straight line, which may be more than it "
        f"loses: measure it at {_needed(sweep, judged, int(part))}"
        for part in np.flatnonzero(sweep.below[judged] & ~sweep.outside[judged])
    )


def below_cautions(sweep: Sweep) -> tuple[str, ...]:
    """Name the tables that are read below their first reading in judged scenarios."""
    placed = sweep.assembly.network.placed
    return tuple(
        f"{placed[part].part.name} is used below its lowest reading "
        f"({_range_words(placed[part].part)}) in {int(sweep.below[:, part].sum())} judged "
        "scenarios: its loss is taken there as a straight line down to no flow, which is "
        "more than a square law gives. "
        "Measure it at the flow that it carries."
        for part in np.flatnonzero(sweep.below.any(axis=0))
    )


def _range_words(part: AnyPart) -> str:
    assert is_table(part)
    first, last = part.flows[0], part.flows[-1]
    if first == last:
        return VOLUME_FLOW.significant(first, 4)
    return VOLUME_FLOW.significant_span(first, last, 4)


def _needed(sweep: Sweep, judged: int, part: int) -> str:
    """Flow that a part carries in a judged scenario at the required flow."""
    link = int(sweep.assembly.network.part_link[part])
    flow = abs(float(sweep.at_required.solution.flow[judged, link]))
    return f"{VOLUME_FLOW.significant(flow, 3)}"

"""What is assumed of measured tables, and what is said where they are read off their readings."""

from collections.abc import Iterator

import numpy as np

from flowsim.constants import STANDARD_TEMPERATURE
from flowsim.network.placing import of_liquid
from flowsim.physics.losses.fitting_catalogue import tee_losses
from flowsim.physics.losses.measured_drop import WATER_VISCOSITY
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Selector, Tee
from flowsim.system.parts import AnyPart, MeasuredDrop, Part, is_table, is_tube


def table_assumptions(system: FuelSystem) -> tuple[Said, ...]:
    """List what is assumed of every measured table: its exponent, its liquid.

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    tuple of str
    """
    words: list[Said] = []
    for owner, part in _parts(system):
        if is_table(part):
            words += [
                saying("measured_words.of_part", part=part.name, owner=owner, said=said)
                for said in _assumed(of_liquid(part, system.fuel))
            ]
    return tuple(dict.fromkeys(words))


def _parts(system: FuelSystem) -> Iterator[tuple[Said, Part]]:
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


def _assumed(part: MeasuredDrop) -> Iterator[Said]:
    first = part.flows[0]
    if len(part.flows) == 1:
        yield (saying("measured_words.one_reading_loss_taken", first=first))
    else:
        yield (saying("measured_words.below_first_reading_loss", first=first))
    if not part.viscosity_is_assumed or part.viscosity is None:
        return
    water = part.viscosity == WATER_VISCOSITY
    yield saying(
        "measured_words.viscosity_liquid_readings_not",
        density=part.density,
        liquid=saying("measured_words.water" if water else "measured_words.fuel"),
        temperature=STANDARD_TEMPERATURE,
        viscosity=part.viscosity,
    )


def outside_words(sweep: Sweep, judged: int, part: int) -> Said:
    """Say that a part's law is used outside its range in a judged scenario, and what would help."""
    found = sweep.assembly.network.placed[part].part
    if is_tube(found) and found.friction_factor is not None:
        return saying(
            "measured_words.friction_factor_smaller_than",
            friction_factor=found.friction_factor,
            found=found.name,
        )
    words = saying("measured_words.law_used_outside_range", found=found.name)
    if not is_table(found):
        return words
    return saying(
        "measured_words.measure",
        words=words,
        range=_range_words(found),
        needed=_needed(sweep, judged, part),
    )


def below_words(sweep: Sweep, judged: int) -> tuple[Said, ...]:
    """Say which tables are read below their first reading in a judged scenario (index)."""
    placed = sweep.assembly.network.placed
    return tuple(
        saying(
            "measured_words.used_below_lowest_reading",
            part=placed[part].part.name,
            range=_range_words(placed[part].part),
            needed=_needed(sweep, judged, int(part)),
        )
        for part in np.flatnonzero(sweep.below[judged] & ~sweep.outside[judged])
    )


def below_cautions(sweep: Sweep) -> tuple[Said, ...]:
    """Name the tables that are read below their first reading in judged scenarios."""
    placed = sweep.assembly.network.placed
    return tuple(
        saying(
            "measured_words.below_in_scenarios",
            part=placed[part].part.name,
            range=_range_words(placed[part].part),
            count=int(sweep.below[:, part].sum()),
        )
        for part in np.flatnonzero(sweep.below.any(axis=0))
    )


def _range_words(part: AnyPart) -> Said:
    assert is_table(part)
    first, last = part.flows[0], part.flows[-1]
    if first == last:
        return saying("measured_words.flow", flow=first)
    return saying("measured_words.flows", flows=(first, last))


def _needed(sweep: Sweep, judged: int, part: int) -> float:
    """Flow that a part carries in a judged scenario at the required flow."""
    link = int(sweep.assembly.network.part_link[part])
    return abs(float(sweep.at_required.solution.flow[judged, link]))

"""What was assumed, and what the reader must be told with every answer."""

import numpy as np

from flowsim.measures import PRESSURE
from flowsim.network.assembly import Assembly
from flowsim.network.outcome import part_description
from flowsim.physics.fuel.properties import property_notes
from flowsim.physics.tank.surface import surface_notes
from flowsim.studies.judged.sweep import SUCTION_TOLD, Sweep
from flowsim.studies.review.carburettor_words import missing_data
from flowsim.studies.review.forgotten import forgotten
from flowsim.studies.review.measured_words import below_cautions, table_assumptions
from flowsim.system.fuel_system import FuelSystem, Provenance
from flowsim.system.tanks import StatedLevel

ALWAYS = (
    "This is an estimate, not an approval. The ground test decides.",
    "Local rules, the engine and aircraft makers' instructions and licensed practice come first.",
)


def assumptions(system: FuelSystem) -> tuple[str, ...]:
    """List what was assumed or filled in, the builder's own assumptions first."""
    order = {"assumed": 0, "default": 1}
    listed = [item for item in system.provenance if item.origin in order]
    listed.sort(key=lambda item: order[item.origin])
    words = [provenance_words(item) for item in listed]
    for tank in system.tanks:
        words += [f'tank "{tank.name}": {note}' for note in surface_notes(tank.shape)]
    words += property_notes(system.fuel, np.array(system.temperatures))
    words += table_assumptions(system)
    return tuple(dict.fromkeys(words))


def provenance_words(item: Provenance) -> str:
    """Say what was assumed, or filled in by the program, for one value."""
    origin = "assumed" if item.origin == "assumed" else "not given, taken as"
    note = f" ({item.note})" if item.note else ""
    return f"{item.item}: {origin} {item.value}{note}"


def cautions(sweep: Sweep) -> tuple[str, ...]:
    """List what the reader must be told; the two standing cautions come first."""
    system = sweep.assembly.system
    words = [*ALWAYS, *forgotten(sweep.assembly), *system.cautions]
    missing = missing_data(system.engine)
    if missing:
        words.append(
            f"{missing[:1].upper()}{missing[1:]}. Wherever this says adequate, it is adequate, "
            "open line only."
        )
    if system.engine.carburettor is None:
        words.append(
            "The open line is judged at rest, as the ground test is made: the suction at the vents "
            "in flight is left out there. It is judged in the lines of result that say so: in "
            "flight, in the descent and in the take-off run."
        )
    if any(isinstance(tank.shape, StatedLevel) for tank in system.tanks):
        words.append(
            "A tank of stated level is taken to stay full; whether it is refilled is judged beside "
            "the flow."
        )
    margin = sweep.at_required.tank_margin
    if (margin < -SUCTION_TOLD).any():
        words.append(
            f"At the required flow the pressure in a line drops "
            f"{PRESSURE.words(-np.nanmin(margin), 1)} "
            "below tank air pressure: dissolved air comes out, leaks suck in air, and the line "
            "does "
            "not prime itself. Lead that line lower, or cut the loss upstream of its high point."
        )
    words += below_cautions(sweep)
    words += _backflow_words(sweep)
    words += _reversed_laws(sweep.assembly)
    return tuple(dict.fromkeys(words))


def _backflow_words(sweep: Sweep) -> list[str]:
    flow = sweep.delivery.solution.flow
    words = []
    for node, tank, outlet in sweep.assembly.outlets:
        into = (sweep.assembly.network.end == node)[: sweep.assembly.open_link]
        out = (sweep.assembly.network.start == node)[: sweep.assembly.open_link]
        lines = flow[:, : sweep.assembly.open_link]
        back = (lines[:, into] > 1e-9).any(axis=1) | (lines[:, out] < -1e-9).any(axis=1)
        if back.any():
            name = sweep.assembly.system.tanks[tank].name
            words.append(
                f'Fuel flows back into tank "{name}" through outlet "{outlet.name}" '
                f"in {int(back.sum())} of the scenarios."
            )
    return words


def _reversed_laws(assembly: Assembly) -> list[str]:
    """Name parts that have no source to look up."""
    bare = {
        part_description(assembly.network, index)[0]
        for index in range(len(assembly.network.placed))
        if not part_description(assembly.network, index)[2]
    }
    if not bare:
        return []
    return [f"No source is given for the loss of: {', '.join(sorted(bare))}."]

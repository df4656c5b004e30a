"""What was assumed, and what the reader must be told with every answer."""

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.network.outcome import part_description
from flowsim.physics.fuel.properties import property_notes
from flowsim.physics.tank.surface import surface_notes
from flowsim.studies.judged.sweep import SUCTION_TOLD, Sweep
from flowsim.studies.review.carburettor_words import missing_data
from flowsim.studies.review.forgotten import forgotten
from flowsim.studies.review.measured_words import below_cautions, table_assumptions
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem, Provenance
from flowsim.system.tanks import StatedLevel


def assumptions(system: FuelSystem) -> tuple[Said, ...]:
    """List what was assumed or filled in, the builder's own assumptions first."""
    order = {"assumed": 0, "default": 1}
    listed = [item for item in system.provenance if item.origin in order]
    listed.sort(key=lambda item: order[item.origin])
    words: list[Said] = [provenance_words(item) for item in listed]
    for tank in system.tanks:
        words += [
            saying("remarks.tank", tank=tank.name, note=note) for note in surface_notes(tank.shape)
        ]
    words += property_notes(system.fuel, np.array(system.temperatures))
    words += table_assumptions(system)
    return tuple(dict.fromkeys(words))


def provenance_words(item: Provenance) -> Said:
    """Say what was assumed, or filled in by the program, for one value."""
    note = saying("in_brackets", said=item.note) if item.note else None
    return saying(
        "remarks.assumed" if item.origin == "assumed" else "remarks.not_given",
        item=item.item,
        value=item.value,
        note=note,
    )


def cautions(sweep: Sweep) -> tuple[Said, ...]:
    """List what the reader must be told; the standing cautions are told besides."""
    system = sweep.assembly.system
    words: list[Said] = [*forgotten(sweep.assembly), *system.cautions]
    missing = missing_data(system.engine)
    if missing:
        words.append(saying("remarks.wherever_says_adequate_adequate", missing=missing))
    if system.engine.carburettor is None:
        words.append(saying("remarks.open_line_judged_rest"))
    if any(isinstance(tank.shape, StatedLevel) for tank in system.tanks):
        words.append(saying("remarks.tank_stated_level_taken"))
    margin = sweep.at_required.tank_margin
    if (margin < -SUCTION_TOLD).any():
        words.append(saying("remarks.required_flow_pressure_line", below=float(-np.nanmin(margin))))
    words += below_cautions(sweep)
    words += _backflow_words(sweep)
    words += _reversed_laws(sweep.assembly)
    return tuple(dict.fromkeys(words))


def _backflow_words(sweep: Sweep) -> list[Said]:
    flow = sweep.delivery.solution.flow
    words: list[Said] = []
    for node, tank, outlet in sweep.assembly.outlets:
        into = (sweep.assembly.network.end == node)[: sweep.assembly.open_link]
        out = (sweep.assembly.network.start == node)[: sweep.assembly.open_link]
        lines = flow[:, : sweep.assembly.open_link]
        back = (lines[:, into] > 1e-9).any(axis=1) | (lines[:, out] < -1e-9).any(axis=1)
        if back.any():
            name = sweep.assembly.system.tanks[tank].name
            words.append(
                saying(
                    "remarks.fuel_flows_back_into",
                    tank=name,
                    outlet=outlet.name,
                    count=int(back.sum()),
                )
            )
    return words


def _reversed_laws(assembly: Assembly) -> list[Said]:
    """Name parts that have no source to look up."""
    bare = {
        part_description(assembly.network, index)[0]
        for index in range(len(assembly.network.placed))
        if not part_description(assembly.network, index)[2]
    }
    if not bare:
        return []
    return [saying("remarks.no_source_given_loss", parts=tuple(sorted(bare)))]

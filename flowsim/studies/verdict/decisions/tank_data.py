"""What is known of the tanks: whether it can be told which outlets are covered."""

from collections.abc import Iterator
from dataclasses import replace

from flowsim.network.assembly import Assembly
from flowsim.physics.tank.floor import NEAR, angle_from_dips
from flowsim.physics.tank.surface import capacity_of
from flowsim.studies.judged.headers import tanks_away
from flowsim.studies.result import Decision, Topic, Verdict
from flowsim.studies.saying import each_of, saying
from flowsim.studies.verdict.decisions.changed_system import lines_of_changed
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import arrives_words, worst
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import DipTable, Solid

NAME = saying("tank_data.tank_known_dip_table")
REMEDY = saying("tank_data.measure_tank_floor_state")
POINTS = saying("tank_data.capacity_tank")
CAPACITY_REACH = 1.1
"""[-] Placarded over computed capacity from which on the points do not describe the tank: a larger
tank has a lower surface on the same fuel. A tenth has no source. Tag: common practice."""
WET = saying("tank_data.measure_tank_describe_points")


def tank_data(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide on every tank known by a dip table that is used for take-off and climb.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        Cannot tell where such a tank has no floor and is judged away from the attitude of its dips.
        Cannot tell where a tank known by its points takes much more than they enclose.
        Where tanks have floors, the flows are judged at the upper end of the band of their surfaces
        too (the lower end is what all else stands on), and the worse counts.
    """
    assembly = evidence.swept.assembly
    found = list(_too_small(assembly))
    tilted = False
    for index in dipped_tanks(assembly):
        tank = assembly.system.tanks[index]
        shape = tank.shape
        if not isinstance(shape, DipTable):
            continue
        gravity = evidence.swept.table.scenarios.gravity[evidence.swept.judged_rows]
        away = float(angle_from_dips(shape, gravity).max())
        if away <= NEAR:
            continue
        if shape.floor is not None:
            tilted = True
            continue
        found.append(
            Decision(
                topic=Topic.TANK_DATA,
                name=NAME,
                verdict=Verdict.CANNOT_TELL,
                found=saying(
                    "tank_data.tank_dipped_deg_nose", tank=tank.name, pitch=shape.pitch, away=away
                ),
                remedy=REMEDY,
            )
        )
    if tilted:
        found.append(_upper_end(evidence))
    return tuple(found)


def _too_small(assembly: Assembly) -> Iterator[Decision]:
    """Find the tanks that take more than their points enclose: the fuel in them stands lower."""
    for index in _used_tanks(assembly):
        tank = assembly.system.tanks[index]
        stated = tank.placarded_capacity
        computed = capacity_of(tank.shape) if isinstance(tank.shape, Solid) else None
        if stated is None or computed is None or stated <= CAPACITY_REACH * computed:
            continue
        yield Decision(
            topic=Topic.TANK_DATA,
            name=POINTS,
            verdict=Verdict.CANNOT_TELL,
            found=saying(
                "tank_data.tank_takes_capacity_points",
                tank=tank.name,
                stated=stated,
                computed=computed,
            ),
            remedy=saying("tank_data.measure_inside_tank_again"),
            figure=saying("tank_data.points_capacity_differ"),
        )


def _used_tanks(assembly: Assembly) -> tuple[int, ...]:
    """Tanks (indices) that some judged position joins to the engine."""
    used = {
        tank
        for number, position in enumerate(assembly.positions)
        if position.judged
        for tank in tanks_away(assembly, number)
    }
    return tuple(sorted(used))


def dipped_tanks(assembly: Assembly) -> tuple[int, ...]:
    """Tanks (indices) known by a dip table that some judged position joins to the engine."""
    tanks = assembly.system.tanks
    return tuple(i for i in _used_tanks(assembly) if isinstance(tanks[i].shape, DipTable))


def with_upper_ends(system: FuelSystem) -> FuelSystem:
    """Give the system with the surfaces of dipped tanks at the upper end of their bands."""
    tanks = tuple(
        replace(tank, shape=replace(tank.shape, floor=replace(tank.shape.floor, end=-1.0)))
        if isinstance(tank.shape, DipTable) and tank.shape.floor is not None
        else tank
        for tank in system.tanks
    )
    return replace(system, tanks=tanks)


def _upper_end(evidence: Evidence) -> Decision:
    """Judge the flows with the surfaces as high as they may stand."""
    lines = lines_of_changed(evidence, with_upper_ends(evidence.swept.assembly.system))
    verdict = worst([line.verdict for line in lines])
    gravest = min(
        (line for line in lines if line.verdict is verdict),
        key=lambda line: line.least_nominal if line.least_low is None else line.least_low,
    )
    least = gravest.least_nominal if gravest.least_low is None else gravest.least_low
    words = [
        saying(
            "tank_data.surfaces_tilt_box_stated", arrives=arrives_words(least), gravest=gravest.name
        ),
        *gravest.reasons,
    ]
    remedy = "" if verdict is Verdict.ADEQUATE else WET
    return Decision(
        topic=Topic.TANK_DATA, name=NAME, verdict=verdict, found=each_of(words), remedy=remedy
    )

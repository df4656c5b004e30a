"""What is known of the tanks: whether it can be told which outlets are covered."""

from dataclasses import replace

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.physics.tank.floor import NEAR, angle_from_dips
from flowsim.studies.judged.headers import tanks_away
from flowsim.studies.result import Decision, Topic, Verdict
from flowsim.studies.verdict.decisions.changed_system import lines_of_changed
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import arrives_words, worst
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import DipTable

NAME = "tank known by a dip table"
REMEDY = (
    "measure the tank's floor and state floor_length, floor_width and floor_at, or describe the "
    "tank by points (box, lofted, cells)"
)
WET = "measure the tank and describe it by points (box, lofted, cells)"


def tank_data(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide on every tank known by a dip table that is used for take-off and climb.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        Cannot tell where such a tank has no floor and is judged away from the attitude of its dips.
        Where tanks have floors, the flows are judged at the upper end of the band of their surfaces
        too (the lower end is what all else stands on), and the worse counts.
    """
    assembly = evidence.swept.assembly
    found = []
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
                found=f'tank "{tank.name}" was dipped at {np.degrees(shape.pitch):.1f} deg nose-up '
                f"and is judged up to {np.degrees(away):.0f} deg away from that: which of its "
                "outlets are covered there is not known",
                remedy=REMEDY,
            )
        )
    if tilted:
        found.append(_upper_end(evidence))
    return tuple(found)


def dipped_tanks(assembly: Assembly) -> tuple[int, ...]:
    """Tanks (indices) known by a dip table that some judged position joins to the engine."""
    used = {
        tank
        for number, position in enumerate(assembly.positions)
        if position.judged
        for tank in tanks_away(assembly, number)
    }
    tanks = assembly.system.tanks
    return tuple(index for index in sorted(used) if isinstance(tanks[index].shape, DipTable))


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
        "surfaces tilt as in a box of the stated floor; with their highest places "
        f"{arrives_words(least)} ({gravest.name}), with their lowest see "
        "the requirements",
        *gravest.reasons,
    ]
    remedy = "" if verdict is Verdict.ADEQUATE else WET
    return Decision(
        topic=Topic.TANK_DATA, name=NAME, verdict=verdict, found="; ".join(words), remedy=remedy
    )

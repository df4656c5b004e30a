"""Whether one tank drains into the other, and whether a vent then overflows.

14 CFR 23.957 (before amendment 23-64): flow between interconnected tanks must not overflow any
vent, shown with full tanks. Here: parked on a slope, and in slips.
"""

import math
from dataclasses import dataclass

import numpy as np

from flowsim.network.assembly import Assembly, assemble
from flowsim.physics.tank.surface import capacity_of
from flowsim.progress import Progress
from flowsim.studies.flight.profile import fly
from flowsim.studies.flight.result import OVERFLOW, FlightResult
from flowsim.studies.judged.joined import joined_tanks, never_parted
from flowsim.studies.judged.scenarios import fed_tanks
from flowsim.studies.saying import Said
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.profile import Phase, Profile
from flowsim.system.tanks import StatedLevel

SLOPE_1_PERCENT = math.atan(0.01)
"""[rad] The slope on which a parked aeroplane must lose nothing (14 CFR 23.975 before 23-64).
Tag: published (read)."""
SITUATIONS = (
    ("parked on a 1 % slope", SLOPE_1_PERCENT, 8.0 * 3600.0, True),
    ("parked on a 5 deg slope", math.radians(5.0), 8.0 * 3600.0, True),
    ("slip, 10 deg", math.radians(10.0), 300.0, False),
)
"""Name, roll [rad], time [s], on the ground; the last two rows: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TransferRow:
    """What happens to full tanks in one selector position, situation and side.

    ``roll`` [rad] right wing down, ``duration`` [s]; ``start`` and ``end`` [m3] and ``overflow``
    [m3] by tank; ``at_once`` [m3] of it in the first instant, because the vent is below the
    surface; ``first_overflow`` [s], NaN where nothing overflows; ``never_parted`` the tanks that
    are joined with another in every position; ``stopped`` says why it could not be followed.
    """

    selector: str
    situation: str
    roll: float
    duration: float
    tanks: tuple[str, ...]
    start: tuple[float, ...]
    end: tuple[float, ...]
    overflow: tuple[float, ...]
    at_once: tuple[float, ...]
    first_overflow: float
    never_parted: tuple[str, ...]
    stopped: Said

    @property
    def overflows(self) -> bool:
        """Whether any vent overflows by more than a millilitre."""
        return sum(self.overflow) > 1e-6


def joined_positions(assembly: Assembly) -> tuple[int, ...]:
    """Selector positions in which lines join two tanks or more, the engine fed by them or not.

    A line that fuel passes one way only counts: it too may fill a tank over its brim.
    """
    filled = {
        index
        for index, tank in enumerate(assembly.system.tanks)
        if not isinstance(tank.shape, StatedLevel)
    }
    return tuple(
        position
        for position in range(len(assembly.positions))
        if any(len(filled & group) > 1 for group in joined_tanks(assembly, position, one_way=True))
    )


def transfer(system: FuelSystem, progress: Progress | None = None) -> tuple[TransferRow, ...]:
    """Let full tanks stand on a slope and fly in a slip, to either side.

    Parameters
    ----------
    system : FuelSystem
    progress : callable, optional
        Called with a word, how many are done, and how many there are.

    Returns
    -------
    tuple of TransferRow
        For each selector position in which tanks are joined; empty where none are. Engine off on
        the ground, full-power burn in the slip where the position feeds the engine; the coldest
        fuel would only slow it, so the hottest stated is taken.
    """
    assembly = assemble(system)
    rows: list[TransferRow] = []
    joined = joined_positions(assembly)
    always = {system.tanks[index].name for pair in never_parted(assembly) for index in pair}
    for position in joined:
        selector = assembly.positions[position].name
        burn = system.engine.burn if fed_tanks(assembly, position) else 0.0
        for name, roll, duration, parked in SITUATIONS:
            for side in (roll, -roll):
                if progress is not None:
                    progress("letting tanks stand", len(rows), 2 * len(SITUATIONS) * len(joined))
                phase = Phase(
                    name=name,
                    duration=duration,
                    pitch=system.flight.level_pitch,
                    lean=side,
                    turning=False,
                    burn=0.0 if parked else burn,
                    selector=selector,
                    altitude=0.0,
                    airspeed=0.0 if parked else system.flight.climb_speed,
                    temperature=max(system.temperatures),
                )
                rows.append(_row(system, phase, always))
    return tuple(rows)


def full_tanks(system: FuelSystem) -> tuple[tuple[str, float], ...]:
    """Give the capacity [m3] of every tank with a quantity, by name."""
    return tuple(
        (tank.name, held) for tank in system.tanks if (held := capacity_of(tank.shape)) is not None
    )


def _row(system: FuelSystem, phase: Phase, always: set[str]) -> TransferRow:
    start = full_tanks(system)
    result = fly(system, Profile(title="full tanks", start=start, phases=(phase,)))
    keep = [index for index, flag in enumerate(result.stated_level) if not flag]
    volume = _volumes(result)
    samples = result.history.quantity
    begin = samples[0] if len(samples) else np.array(volume[0])
    full = np.array([value for _, value in start])
    spilled = [event.time for event in result.events if event.what == OVERFLOW]
    liquid = result.balance.start / full.sum()
    at_once = np.maximum(full - begin[keep], 0.0)
    return TransferRow(
        selector=phase.selector,
        situation=phase.name,
        roll=phase.lean,
        duration=phase.duration,
        tanks=tuple(result.tanks[index] for index in keep),
        start=tuple(float(value) for value in full),
        end=tuple(float(volume[-1][index]) for index in keep),
        overflow=tuple(float(result.overflow[index] / liquid) for index in keep),
        at_once=tuple(float(value) for value in at_once),
        first_overflow=min(spilled, default=math.nan),
        never_parted=tuple(name for name in result.tanks if name in always),
        stopped=result.stopped,
    )


def _volumes(result: FlightResult) -> list[tuple[float, ...]]:
    """Quantities at the end of each phase that was followed; NaN where none was."""
    ends = [phase.quantities for phase in result.phases]
    return ends or [tuple(math.nan for _ in result.tanks)]

"""A blocked vent: how much fuel can be drawn until the required flow is lost."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.physics.air.atmosphere import standard_pressure
from flowsim.physics.arrays import FloatArray
from flowsim.physics.fuel.properties import vapour_pressure
from flowsim.physics.tank.surface import capacity_of
from flowsim.physics.tank.ullage import drawn_for_fall
from flowsim.studies.adequacy.brief import Brief
from flowsim.studies.judged.scenarios import CLIMB, fed_tanks


@dataclass(frozen=True, slots=True)
class UntilLost:
    """Per judged scenario: fuel ``drawn`` [m3], and whether so much is ``lost`` before it is out.

    NaN where tanks of other vents feed too, for other purposes than the climb, and where the
    capacity is not known.
    """

    drawn: FloatArray
    held: FloatArray

    @property
    def lost(self) -> npt.NDArray[np.bool_]:
        """Whether the flow is lost before the fuel is out (judged scenario,)."""
        with np.errstate(invalid="ignore"):
            return np.asarray(self.drawn < self.held)


def drawn_until_lost(stated: Brief, group: str, filled: float | None = None) -> UntilLost:
    """Fuel drawn with a vent group blocked until the required flow is lost.

    Parameters
    ----------
    stated : Brief
        The system as stated.
    group : str
        Tanks of this vent share one blocked airspace.
    filled : float, optional
        Share of the capacity [-] that is filled; the fuel of each scenario if not given.

    Returns
    -------
    UntilLost
        The flow is lost when the pressure over the fuel has fallen by the head left over at the
        required flow: at once where none is left. The surface is taken to stay, so it is lost
        sooner than that.

    Raises
    ------
    DomainError
        Where the fuel boils at ambient pressure.

    References
    ----------
    ``flowsim.physics.tank.ullage``: Boyle's law with a saturated vapour.
    """
    swept = stated.swept
    assembly, table, rows = swept.assembly, swept.table, swept.judged_rows
    tanks = assembly.system.tanks
    inside = sorted(index for index, tank in enumerate(tanks) if tank.vent.group == group)
    room, held = np.zeros(len(rows)), np.zeros(len(rows))
    for index in inside:
        capacity = capacity_of(tanks[index].shape)
        whole = np.nan if capacity is None else capacity
        fuel = table.scenarios.quantity[rows, index] if filled is None else filled * whole
        room, held = room + whole - fuel, held + fuel
    only = [fed_tanks(assembly, number) <= set(inside) for number in range(len(assembly.positions))]
    usable = np.array(only)[table.scenarios.position[rows]] & (table.purpose[rows] == CLIMB)
    usable &= np.isfinite(room) & np.isfinite(swept.at_required.head_left)
    weight = swept.situation.density[rows] * STANDARD_GRAVITY
    fall = np.where(usable, np.maximum(swept.at_required.head_left, 0.0) * weight, 0.0)
    ambient = standard_pressure(table.scenarios.altitude[rows])
    ambient = ambient + swept.situation.tank_pressure[rows, inside[0]]
    vapour = vapour_pressure(assembly.system.fuel, table.scenarios.temperature[rows])
    drawn = drawn_for_fall(ambient, vapour, np.where(usable, np.maximum(room, 0.0), 0.0), fall)
    return UntilLost(drawn=np.where(usable, drawn, np.nan), held=held)


def lost_words(name: str, found: UntilLost, burn: float) -> str:
    """Say when the required flow is lost, at a ``burn`` [m3/s]."""
    if not found.lost.any():
        return f"with {name} the fuel runs out before the required flow is lost"
    least = float(found.drawn[found.lost].min())
    return (
        f"with {name} the required flow is lost after {1000 * least:.2f} L are drawn, "
        f"{least / burn / 60:.1f} min at full power"
    )

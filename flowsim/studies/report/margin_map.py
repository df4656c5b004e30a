"""Deliverable flow over required flow, over pitch and quantity, for each judged position."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly
from flowsim.network.scenarios import CARBURETTOR, OPEN_LINE, build_scenarios, situate
from flowsim.physics.arrays import FloatArray
from flowsim.physics.tank.surface import capacity_of
from flowsim.studies.delivery.deliver import deliver
from flowsim.studies.judged.flight_conditions import airspeed_at
from flowsim.studies.judged.scenarios import DIRTY_SCREEN, SWEEP_HIGH, SWEEP_LOW
from flowsim.system.tanks import StatedLevel

LEVELS = 24
"""How many quantities are tried."""
BEYOND = 1.25
"""[-] The largest quantity tried, over the least take-off fuel."""
FULL = 0.999
"""[-] A tank is filled no further than this share of its capacity."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MarginMap:
    """One selector position.

    ``pitch`` (pitch,) [rad]; ``quantity`` (level,) [m3] in each tank, less where a tank holds less;
    ``ratio`` (level, pitch) [-] of deliverable to required flow, the least over fuel temperatures,
    NaN where a solve failed; ``air`` (level, pitch): the flow is limited to where air begins.
    """

    selector: str
    end: str
    pitch: FloatArray
    quantity: FloatArray
    ratio: FloatArray
    air: npt.NDArray[np.bool_]


def margin_maps(assembly: Assembly) -> tuple[MarginMap, ...]:
    """Map the margin of every judged position, screens at 20 % clear.

    Parameters
    ----------
    assembly : Assembly

    Returns
    -------
    tuple of MarginMap
        At the carburettor where its data are stated, else at the open line. Empty where every
        tank's level is stated (there is no quantity to vary).
    """
    capacities = _capacities(assembly)
    if not any(capacities):
        return ()
    top = _largest(assembly, capacities)
    quantity = np.linspace(top / LEVELS, top, LEVELS)
    pitch = np.radians(np.arange(SWEEP_LOW, SWEEP_HIGH + 1, dtype=np.float64))
    return tuple(
        _map(assembly, index, pitch, quantity, capacities)
        for index, position in enumerate(assembly.positions)
        if position.judged
    )


def _capacities(assembly: Assembly) -> list[float]:
    """Give the capacity of each tank [m3], zero for one of stated level."""
    return [
        0.0 if isinstance(tank.shape, StatedLevel) else capacity_of(tank.shape) or 0.0
        for tank in assembly.system.tanks
    ]


def _largest(assembly: Assembly, capacities: list[float]) -> float:
    """Give the largest quantity to try: somewhat beyond the least take-off and the test fuel."""
    draw = assembly.system.test_draw
    named = [
        max(tank.least_takeoff or 0.0, 2.0 * ((tank.unusable or 0.0) + draw))
        for tank, capacity in zip(assembly.system.tanks, capacities, strict=True)
        if capacity
    ]
    return min(BEYOND * max(named), FULL * max(capacities))


def _map(
    assembly: Assembly,
    position: int,
    pitch: FloatArray,
    quantity: FloatArray,
    capacities: list[float],
) -> MarginMap:
    system = assembly.system
    end = OPEN_LINE if system.engine.carburettor is None else CARBURETTOR
    heat = np.array(system.temperatures)
    level, across, temperature = (
        axis.ravel() for axis in np.meshgrid(quantity, pitch, heat, indexing="ij")
    )
    size = len(level)
    required = np.full(size, system.engine.burn * system.engine.factor)
    flight = system.flight
    scenarios = build_scenarios(
        assembly,
        pitch=across,
        position=position,
        quantity=np.column_stack([np.minimum(level, FULL * most) for most in capacities]),
        temperature=temperature,
        airspeed=airspeed_at(flight, across) if end == CARBURETTOR else 0.0,
        end=end,
        dip_flow=required,
        screen_clear=DIRTY_SCREEN,
    )
    situation = situate(assembly, scenarios)
    delivery = deliver(assembly, situation)
    shape = (len(quantity), len(pitch), len(heat))
    ratio = (delivery.deliverable * situation.density / required).reshape(shape)
    return MarginMap(
        selector=assembly.positions[position].name,
        end="carburettor" if end == CARBURETTOR else "open line",
        pitch=pitch,
        quantity=quantity,
        ratio=ratio.min(axis=2),  # NaN in one is NaN for all of them: nobody knows
        air=np.asarray(delivery.air_limited.reshape(shape).any(axis=2), dtype=np.bool_),
    )

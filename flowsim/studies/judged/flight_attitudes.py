"""The attitudes in which unusable fuel is sought: pitch by degree, level, in turns and in slips."""

from dataclasses import dataclass

import numpy as np

from flowsim.physics.arrays import FloatArray
from flowsim.physics.attitude import coordinated_turn, effective_gravity, in_datum_axes
from flowsim.studies.judged.flight_conditions import gravity_along
from flowsim.system.engine import Flight
from flowsim.system.fuel_system import FuelSystem

LEVEL, TURN, SLIP, RUN = "wings level", "turn", "slip", "take-off run"
FLOWN_SLIP = "slip as flown"
BANKS = (20.0, 30.0)
"""[deg] Banks of turns, and rolls of slips to either side (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Attitudes:
    """Arrays (attitude,): ``gravity`` (attitude, 3) over g0, ``pitch`` and ``lean`` [rad].

    ``lean`` is the bank of a turn without slip, the same to both sides, or the roll of a slip;
    ``kind`` tells which.
    """

    gravity: FloatArray
    pitch: FloatArray
    lean: FloatArray
    kind: tuple[str, ...]

    @property
    def count(self) -> int:
        """Number of attitudes."""
        return len(self.kind)


def attitudes_of(system: FuelSystem) -> Attitudes:
    """Give the attitudes between the steepest descent and the steepest climb + test margin.

    Parameters
    ----------
    system : FuelSystem
        Where no descent is stated, pitch begins at level flight.

    Returns
    -------
    Attitudes
        Every whole degree from level flight and both ends; wings level, in turns of 20 and 30 deg
        without slip, and in slips (roll without turn) of 20 and 30 deg to either side; the take-off
        run in the ground attitude, where it is stated, and with level pitch; the slips that the
        case flies (``flown_slips``). Turns and slips are about the axes of level flight, so that
        the choice of a datum changes nothing.
    """
    flight = system.flight
    steepest = flight.climb_pitch + flight.test_margin
    low = flight.level_pitch if flight.descent_pitch is None else flight.descent_pitch
    low, high = min(low, flight.level_pitch), max(steepest, flight.level_pitch)
    whole = flight.level_pitch + np.radians(np.arange(-90.0, 91.0))
    inside = whole[(whole > low) & (whole < high)]
    pitch = np.unique(np.concatenate([[low, flight.level_pitch, high], inside]))
    none = np.zeros(len(pitch))
    above_level = pitch - flight.level_pitch
    blocks = [(LEVEL, pitch, none, effective_gravity(pitch, none))]
    for bank in np.radians(BANKS):
        lean = np.full(len(pitch), bank)
        blocks.append((TURN, pitch, lean, _turned(coordinated_turn(above_level, lean), flight)))
    for roll in np.radians([*(-bank for bank in BANKS), *BANKS]):
        lean = np.full(len(pitch), roll)
        blocks.append((SLIP, pitch, lean, _turned(effective_gravity(above_level, lean), flight)))
    ground = system.routing.ground
    run = np.unique([flight.level_pitch, *([] if ground is None else [ground.pitch])])
    still = np.zeros(len(run))
    blocks.append((RUN, run, still, gravity_along(run, still, flight.run_acceleration)))
    blocks += _flown_slips(system)
    return _joined(blocks)


def flown_slips(system: FuelSystem) -> Attitudes | None:
    """Give the slips that the case flies, to either side, in level flight and in the descent.

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    Attitudes or None
        Of the kind FLOWN_SLIP; None where the case states no slip.
    """
    blocks = _flown_slips(system)
    return _joined(blocks) if blocks else None


_Block = tuple[str, FloatArray, FloatArray, FloatArray]


def _flown_slips(system: FuelSystem) -> list[_Block]:
    slip, flight = system.routing.slip, system.flight
    if slip is None:
        return []
    pitch = np.unique(
        [flight.level_pitch if flight.descent_pitch is None else flight.descent_pitch,
         flight.level_pitch]
    )  # fmt: skip
    above_level = pitch - flight.level_pitch
    found: list[_Block] = []
    for side in (-slip, slip):
        lean = np.full(len(pitch), side)
        gravity = _turned(effective_gravity(above_level, lean), flight)
        found.append((FLOWN_SLIP, pitch, lean, gravity))
    return found


def _joined(blocks: list[_Block]) -> Attitudes:
    return Attitudes(
        gravity=np.concatenate([block[3] for block in blocks]),
        pitch=np.concatenate([block[1] for block in blocks]),
        lean=np.concatenate([block[2] for block in blocks]),
        kind=tuple(block[0] for block in blocks for _ in block[1]),
    )


def _turned(parts: FloatArray, flight: Flight) -> FloatArray:
    return in_datum_axes(parts, flight.level_pitch)

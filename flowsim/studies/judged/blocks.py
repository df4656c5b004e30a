"""Tables of scenarios: what is asked of each, and how blocks of them are joined."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.network.scenarios import CARBURETTOR, Scenarios, build_scenarios
from flowsim.physics.arrays import FloatArray
from flowsim.studies.judged.flight_conditions import airspeed_at, gravity_along
from flowsim.studies.judged.fuel_states import UNUSABLE, FuelState
from flowsim.studies.saying import Said, saying
from flowsim.system.engine import Engine, Flight

DIRTY_SCREEN = 0.2
"""[-] Clear fraction of a dirty screen in the judged set, the stated one where that is less
(common practice, no source)."""

FLIGHT, DESCENT, RUN, DRAWN = "in_flight", "descent", "takeoff_run", "drawn"
"""Purposes beside those of the fuel states: the open line in flight, where nothing is known of the
carburettor; the descent at its own burn; the take-off run at full-power burn; no verdict."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenarioTable:
    """Scenarios with what is asked of them; all arrays (scenario,).

    ``state`` indexes ``states``; ``purpose`` names why a scenario is there; ``required`` [kg/s];
    ``dirty`` tells that screens are taken at 20 % clear, or as stated where that is less.
    """

    scenarios: Scenarios
    states: tuple[FuelState, ...]
    state: npt.NDArray[np.intp]
    purpose: npt.NDArray[np.str_]
    required: FloatArray
    dirty: npt.NDArray[np.bool_]

    @property
    def judged(self) -> npt.NDArray[np.bool_]:
        """Whether the verdict rests on a scenario (scenario,)."""
        chosen: npt.NDArray[np.bool_] = self.purpose != DRAWN
        return chosen

    def take(self, rows: npt.NDArray[np.intp]) -> "ScenarioTable":
        """Give the named rows."""
        return replace(
            self,
            scenarios=self.scenarios.take(rows),
            state=self.state[rows],
            purpose=self.purpose[rows],
            required=self.required[rows],
            dirty=self.dirty[rows],
        )

    @property
    def forward(self) -> FloatArray:
        """Acceleration along the take-off run (scenario,) [m/s2], as the gravity has it."""
        pitch = self.scenarios.pitch
        along = (self.scenarios.gravity[:, 0] - np.sin(pitch)) / np.cos(pitch)
        forward: FloatArray = np.where(self.purpose == RUN, along * STANDARD_GRAVITY, 0.0)
        return forward


@dataclass(frozen=True, slots=True, kw_only=True)
class PitchSeries:
    """Scenarios that differ in pitch [rad] alone; ``temperature`` [K]."""

    position: int
    state: int
    temperature: float
    end: int
    purpose: str
    pitches: FloatArray
    dirty: bool = False


def dirty_words(assembly: Assembly) -> Said:
    """Say how clear dirty screens are, "20 % clear"; a screen stated dirtier stays as stated."""
    less = np.nanmin(assembly.network.coefficients.clear, initial=1.0) < DIRTY_SCREEN
    return saying("blocks.clear_or_less" if less else "blocks.clear", clear=DIRTY_SCREEN)


def required_flow(engine: Engine, purpose: str) -> float:
    """Flow [kg/s] that must arrive in scenarios of a purpose."""
    if purpose in (UNUSABLE, RUN):
        return engine.burn
    if purpose == DESCENT and engine.descent_burn is not None:
        return engine.descent_burn
    return engine.burn * engine.factor


def joined(
    assembly: Assembly, states: tuple[FuelState, ...], blocks: Iterable[PitchSeries]
) -> ScenarioTable:
    """Join blocks into one table.

    Parameters
    ----------
    assembly : Assembly
    states : tuple of FuelState
        Which the blocks index.
    blocks : iterable of PitchSeries
        At least one.

    Returns
    -------
    ScenarioTable
    """
    some = [block for block in blocks if len(block.pitches)]
    sizes = [len(block.pitches) for block in some]
    system = assembly.system

    def column(values: list[float] | list[int] | list[str] | list[bool]) -> npt.NDArray[np.generic]:
        return np.repeat(np.array(values), sizes)

    pitch = np.concatenate([block.pitches for block in some])
    purpose = column([block.purpose for block in some]).astype(np.str_)
    end = column([block.end for block in some]).astype(np.intp)
    state = column([block.state for block in some]).astype(np.intp)
    dirty = column([block.dirty for block in some]).astype(bool)
    required = column([required_flow(system.engine, block.purpose) for block in some])
    forward = np.where(purpose == RUN, system.flight.run_acceleration, 0.0)
    scenarios = build_scenarios(
        assembly,
        gravity=gravity_along(pitch, np.zeros(len(pitch)), forward),
        pitch=pitch,
        position=column([block.position for block in some]).astype(np.intp),
        quantity=np.array([one.quantity for one in states])[state],
        temperature=column([block.temperature for block in some]).astype(np.float64),
        airspeed=_airspeed(system.flight, pitch, purpose, end, system.engine),
        end=end,
        dip_flow=required.astype(np.float64),
        screen_clear=np.where(dirty, DIRTY_SCREEN, np.nan),
    )
    return ScenarioTable(
        scenarios=scenarios,
        states=states,
        state=state,
        purpose=purpose,
        required=required.astype(np.float64),
        dirty=dirty,
    )


def _airspeed(
    flight: Flight,
    pitch: FloatArray,
    purpose: npt.NDArray[np.str_],
    end: npt.NDArray[np.intp],
    engine: Engine,
) -> FloatArray:
    """Airspeed [m/s]: none in the ground test (the open line), that of the pitch in flight.

    The take-off run ends at the climb speed at most, and suction grows with speed: it is taken at
    that speed all along. Where nothing is known of the carburettor, the open line stands for it in
    flight, in the descent and in the take-off run.
    """
    flown = (end == CARBURETTOR) | (purpose == FLIGHT)
    if engine.carburettor is None:
        flown |= (purpose == DESCENT) | (purpose == RUN)
    speed = np.where(purpose == RUN, flight.climb_speed, airspeed_at(flight, pitch))
    airspeed: FloatArray = np.where(flown, speed, 0.0)
    return airspeed

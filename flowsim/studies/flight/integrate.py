"""The flight followed in time, from one event to the next."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from flowsim.errors import DomainError
from flowsim.network.assembly import Assembly
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.studies.flight.model import FlightFlows, PhaseModel
from flowsim.studies.flight.modes import Modes, changes, flipped, gauges, start_modes
from flowsim.studies.flight.result import OVERFLOW, PHASE, FlightEvent
from flowsim.system.profile import Phase

RELATIVE, ABSOLUTE = 1e-6, 1e-5
"""[-] and [kg] Tolerances of the integrator in each step."""
SAMPLES = 40
"""Samples of a phase, beside events and its ends."""
MOST_PIECES = 500
"""Pieces between events in one phase; more is chatter, and the flight is given up."""
EXPLICIT_RATES = 300
"""Times that the flows are asked for in one piece by the explicit method. It needs more where it is
held back by how soon joined tanks come to rest against one another: then the piece is begun anew
with an implicit one."""
MOST_RATES = 5000
"""The same by the implicit one; the longest flights take some hundreds."""
SPILL_LEAST = 1e-9
"""[kg] Less above the vent at the start of a phase is rounding."""


class _TooOftenError(Exception):
    """The flows were asked for too often in one piece."""


@dataclass(slots=True)
class Track:
    """What was followed so far; times [s], masses [kg], arrays with a row for each sample."""

    time: list[float] = field(default_factory=list)
    phase: list[int] = field(default_factory=list)
    mass: list[FloatArray] = field(default_factory=list)
    volume: list[FloatArray] = field(default_factory=list)
    from_tank: list[FloatArray] = field(default_factory=list)
    overflow: list[FloatArray] = field(default_factory=list)
    delivered: list[float] = field(default_factory=list)
    head_left: list[float] = field(default_factory=list)
    starved: list[bool] = field(default_factory=list)
    events: list[FlightEvent] = field(default_factory=list)
    starved_for: dict[int, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightState:
    """Masses [kg]: in each tank (negative for what a stated level gave), overflowed, burned."""

    mass: FloatArray
    overflow: FloatArray
    burned: float

    def packed(self) -> FloatArray:
        """Give all as one vector for the integrator."""
        return np.concatenate([self.mass, self.overflow, [self.burned]])


def unpacked(vector: FloatArray) -> FlightState:
    """Take a vector of the integrator apart."""
    tanks = (len(vector) - 1) // 2
    return FlightState(
        mass=vector[:tanks].copy(),
        overflow=vector[tanks : 2 * tanks].copy(),
        burned=float(vector[-1]),
    )


class PhaseRun:
    """One phase on its way: integrates from event to event and keeps samples."""

    def __init__(
        self,
        assembly: Assembly,
        phase: Phase,
        number: int,
        begin: float,
        track: Track,
    ) -> None:
        self.model = PhaseModel(assembly, phase)
        self.phase, self.number, self.begin, self.track = phase, number, begin, track
        self.tanks = len(assembly.system.tanks)
        self.vapour_margin = np.inf
        self._left = 0
        self._kept: dict[bytes, FlightFlows] = {}
        self._read: dict[bytes, FloatArray] = {}

    def run(self, state: FlightState, before: Modes | None) -> tuple[FlightState, Modes]:
        """Follow the phase to its end.

        Parameters
        ----------
        state : FlightState
            At its beginning.
        before : Modes, optional
            Modes at the end of the phase before, to tell what changes.

        Returns
        -------
        State and Modes
            At its end.

        Raises
        ------
        DomainError
            A solve failed, or the events never end; the track holds what came before.
        """
        model = self.model
        self._event(self.begin, PHASE, self.phase.name, state)
        state = self._spilled(state)
        modes = start_modes(model, self._volume(state.mass))
        calm = Modes(
            bare=np.zeros(len(model.in_use), dtype=bool),
            full=np.zeros(self.tanks, dtype=bool),
            inflow=np.zeros(self.tanks, dtype=bool),
            starved=False,
            short=False,
        )
        self._say(self.begin, changes(model, before or calm, modes), state)
        time, end = self.begin, self.begin + self.phase.duration
        for _ in range(MOST_PIECES):
            state, time, which = self._piece(state, modes, time, end)
            if which is None:
                return state, modes
            modes = self._next_modes(state, modes, which, time)
        raise DomainError(
            f'phase "{self.phase.name}": more than {MOST_PIECES} events; the flight is given up'
        )

    def _spilled(self, state: FlightState) -> FlightState:
        """Let out at once what stands above the vents in this attitude."""
        most = np.where(self.model.stated, np.inf, self.model.limit) * self.model.density
        excess = np.maximum(state.mass - most, 0.0)
        excess = np.where(excess > SPILL_LEAST, excess, 0.0)
        spilled = FlightState(
            mass=state.mass - excess, overflow=state.overflow + excess, burned=state.burned
        )
        for index in np.flatnonzero(excess > 0.0):
            name = self.model.assembly.system.tanks[index].name
            self._event(self.begin, OVERFLOW, name, spilled)
        return spilled

    def _next_modes(self, state: FlightState, modes: Modes, which: int, time: float) -> Modes:
        """Change the mode that fired, and all that change at the same instant."""
        quantity = self._volume(state.mass)
        flows = self._flows(state.mass, modes)
        values, near = gauges(self.model, modes, quantity, flows)
        fired: BoolArray = values <= near
        # What jumps with an outlet is looked at again in the next round, with its new flows.
        outlets = len(modes.bare)
        if fired[:outlets].any() or which < outlets:
            fired[outlets:] = False
        fired[which] = True
        after = flipped(self.model, modes, fired)
        if fired[:outlets].any():
            after = self._settled(state, after)
        self._say(time, changes(self.model, modes, after), state)
        return after

    def _settled(self, state: FlightState, modes: Modes) -> Modes:
        """Work out anew what follows from the flows, with the outlets as they are now."""
        flows = self.model.flows(self._volume(state.mass)[None, :], modes.bare)
        values, _ = gauges(self.model, modes, self._volume(state.mass), flows)
        fired: BoolArray = values < 0.0
        fired[: len(modes.bare)] = False
        # A tank that is not at its vent does not begin to overflow here.
        return flipped(self.model, modes, fired)

    def _piece(
        self, state: FlightState, modes: Modes, time: float, end: float
    ) -> tuple[FlightState, float, int | None]:
        """Integrate to the next event (its gauge) or to the end of the phase (None)."""
        if end - time <= 1e-9 * self.phase.duration:
            return state, end, None
        found = self._integrated(state, modes, time, end)
        if found.status < 0:
            raise DomainError(
                f'phase "{self.phase.name}": the quantities could not be followed in time '
                f"({found.message})"
            )
        stop = float(found.t[-1])
        last = unpacked(found.y[:, -1])
        self.model.require_inside(self._volume(last.mass))
        self._sample(found.sol, modes, time, stop)
        if modes.starved:
            kept = self.track.starved_for
            kept[self.number] = kept.get(self.number, 0.0) + stop - time
        if found.status == 0:
            return last, stop, None
        which = next(index for index, times in enumerate(found.t_events) if len(times))
        return last, stop, which

    def _integrated(self, state: FlightState, modes: Modes, time: float, end: float) -> Any:
        """Integrate to the next event or to the end; give what the integrator gives."""
        from scipy.integrate import solve_ivp

        count = len(modes.bare) + 2 * self.tanks + 2
        watches = [self._watch(modes, gauge) for gauge in range(count)]
        for method, most in (("RK45", EXPLICIT_RATES), ("BDF", MOST_RATES)):
            self._kept.clear()
            self._read.clear()
            self._left = most
            try:
                with np.errstate(invalid="ignore"):
                    return solve_ivp(
                        lambda _, vector: self._rates(vector, modes),
                        (time, end),
                        state.packed(),
                        method=method,
                        rtol=RELATIVE,
                        atol=ABSOLUTE,
                        first_step=min(end - time, 60.0),
                        events=watches,
                        dense_output=True,
                    )
            except _TooOftenError:
                continue
        raise DomainError(
            f'phase "{self.phase.name}": the quantities could not be followed in time (steps '
            "without end); try it in shorter phases, and report it with the case file"
        )

    def _watch(self, modes: Modes, gauge: int) -> Callable[[float, FloatArray], float]:
        """Make the function whose fall through zero ends the piece."""

        def watch(_time: float, vector: FloatArray) -> float:
            mass = vector[: self.tanks]
            key = mass.tobytes()
            if key not in self._read:
                flows = self._flows(mass, modes)
                self._read[key], _near = gauges(self.model, modes, self._volume(mass), flows)
            return float(self._read[key][gauge])

        watch.terminal = True  # type: ignore[attr-defined]
        watch.direction = -1.0  # type: ignore[attr-defined]
        return watch

    def _rates(self, vector: FloatArray, modes: Modes) -> FloatArray:
        self._left -= 1
        if self._left < 0:
            raise _TooOftenError
        flows = self._flows(vector[: self.tanks], modes)
        out = flows.from_tank[0]
        # A full tank stays full while fuel runs in; when that ends, so does the piece.
        overflow = np.where(modes.full, -out, 0.0)
        return np.concatenate([-out - overflow, overflow, flows.delivered[:1]])

    def _flows(self, mass: FloatArray, modes: Modes) -> FlightFlows:
        """Flows of one state; kept, because events ask for the same states again."""
        key = mass.tobytes()
        if key not in self._kept:
            if len(self._kept) > 64:
                self._kept.clear()
            self._kept[key] = self.model.flows(self._volume(mass)[None, :], modes.bare)
        return self._kept[key]

    def _volume(self, mass: FloatArray) -> FloatArray:
        return np.where(self.model.stated, 0.0, mass / self.model.density)

    def _sample(
        self, solution: Callable[[FloatArray], FloatArray], modes: Modes, begin: float, end: float
    ) -> None:
        """Keep samples between two times, both included."""
        step = self.phase.duration / SAMPLES
        inner = np.arange(1, SAMPLES) * step + self.begin
        times = np.concatenate([[begin], inner[(inner > begin) & (inner < end)], [end]])
        vectors = solution(times).T
        masses = vectors[:, : self.tanks]
        volumes = np.where(self.model.stated, np.nan, masses / self.model.density)
        flows = self.model.flows(np.nan_to_num(volumes), modes.bare)
        ends = np.nan_to_num(volumes[[0, -1]])
        self.vapour_margin = min(self.vapour_margin, self.model.vapour_margin(ends, modes.bare))
        track = self.track
        track.time += list(times)
        track.phase += [self.number] * len(times)
        track.mass += list(masses)
        track.volume += list(volumes)
        track.from_tank += list(flows.from_tank)
        track.overflow += list(np.where(modes.full, np.maximum(-flows.from_tank, 0.0), 0.0))
        track.delivered += list(flows.delivered)
        track.head_left += list(flows.head_left)
        track.starved += [modes.starved] * len(times)

    def _say(self, time: float, found: list[tuple[str, str]], state: FlightState) -> None:
        for what, item in found:
            self._event(time, what, item, state)

    def _event(self, time: float, what: str, item: str, state: FlightState) -> None:
        volume = np.where(self.model.stated, np.nan, state.mass / self.model.density)
        self.track.events.append(
            FlightEvent(
                time=time,
                phase=self.phase.name,
                what=what,
                item=item,
                quantities=tuple(float(value) for value in volume),
            )
        )

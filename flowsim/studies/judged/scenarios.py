"""Which scenarios there are, and which of them the verdict rests on."""

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import cached_property

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.network.scenarios import CARBURETTOR, OPEN_LINE, situate
from flowsim.network.solver import solve
from flowsim.physics.air.dips import critical_dip
from flowsim.physics.arrays import FloatArray
from flowsim.physics.fuel.properties import density
from flowsim.studies.delivery.deliver import with_demand
from flowsim.studies.judged.blocks import (
    DESCENT,
    DIRTY_SCREEN,
    DRAWN,
    FLIGHT,
    RUN,
    PitchSeries,
    ScenarioTable,
    joined,
    required_flow,
)
from flowsim.studies.judged.cover_doubt import doubt_ends
from flowsim.studies.judged.fuel_states import CLIMB, UNUSABLE, FuelState, fed_tanks, fuel_states
from flowsim.studies.judged.pitches import (
    HeightCrossings,
    PitchStretch,
    crossings,
    distinct,
    whole_degrees,
    without,
)
from flowsim.studies.judged.temperatures import flow_shares, temperatures_between

__all__ = [
    "CLIMB",
    "DESCENT",
    "DIRTY_SCREEN",
    "DRAWN",
    "FLIGHT",
    "RUN",
    "SWEEP_HIGH",
    "SWEEP_LOW",
    "UNUSABLE",
    "FuelState",
    "ScenarioTable",
    "fed_tanks",
    "fuel_states",
    "scenario_table",
]

SWEEP_LOW, SWEEP_HIGH = -15, 30
"""[deg] Pitch range that is drawn."""
COARSE = 5
"""[deg] Step of the pitches between the ends, and between those at which an outlet uncovers, at
fuel temperatures between the stated ones: there the flow changes evenly with pitch."""
SHARES_AT = 288.15
"""[K] At which it is worked out how legs share the flow, to find where they turn turbulent."""
TAKEOFF = 1
"""Index of the least take-off fuel among the fuel states."""


def scenario_table(assembly: Assembly) -> ScenarioTable:
    """Build the whole sweep and the judged set.

    Parameters
    ----------
    assembly : Assembly

    Returns
    -------
    ScenarioTable
        Drawn: -15 to +30 deg by 1 in every selector position, fuel state and end. Judged, in the
        positions meant for take-off and climb: from level to climb + 5 deg with both ends and
        every pitch at which an outlet's cover becomes doubtful, screens as stated and dirty, at the
        airspeed of each pitch behind the carburettor (or, where nothing is known of it, at the open
        line too); the declared unusable fuel at full-power burn; the stated descent at its own
        burn; the take-off run from the ground attitude to the level one at full-power burn. At the
        stated fuel temperatures, at three between, and where a line of the way turns turbulent.

    Notes
    -----
    What is added to be on the safe side (descent, take-off run, a dry tank, temperatures between)
    is looked at with dirty screens alone where there are screens: clean ones give no less.
    """
    chosen = _Chosen(assembly)
    return joined(assembly, chosen.states, chosen.blocks())


class _Chosen:
    """Chooses the blocks of scenarios."""

    def __init__(self, assembly: Assembly) -> None:
        self.assembly, self.system = assembly, assembly.system
        self.states = fuel_states(assembly)
        self.fed = [fed_tanks(assembly, index) for index in range(len(assembly.positions))]
        self.has_screen = assembly.network.has_screens
        self.pitches = _Pitches(assembly, self.states)
        self.temperatures: dict[float, tuple[float, ...]] = {}
        self.ends = [(OPEN_LINE, CLIMB)]
        if self.system.engine.carburettor is not None:
            self.ends.append((CARBURETTOR, CLIMB))
        elif any(tank.vent.coefficient_low < 0.0 for tank in self.system.tanks):
            self.ends.append((OPEN_LINE, FLIGHT))

    def blocks(self) -> Iterator[PitchSeries]:
        """Give every block, position by position."""
        for position, setting in enumerate(self.assembly.positions):
            here = [i for i, state in enumerate(self.states) if state.belongs(self.fed[position])]
            for number in here:
                if setting.judged:
                    for temperature in self.system.temperatures:
                        yield from self._judged(position, number, temperature)
                if self.states[number].purpose == CLIMB:
                    yield from self._drawn(position, number, judged=setting.judged)
            if setting.judged:
                yield from self._between(position, here)
                yield from self._run(position)

    def _drawn(self, position: int, state: int, *, judged: bool) -> Iterator[PitchSeries]:
        """Pitches for the picture alone; a tank at its unusable is only judged."""
        if self.states[state].emptied is not None:
            return
        pitches = self.pitches.drawn
        if judged:
            pitches = without(pitches, self.pitches.of(CLIMB, self.fed[position], state))
        for temperature in self.system.temperatures:
            for end, purpose in self.ends:
                if purpose == CLIMB:
                    yield PitchSeries(
                        position=position, state=state, temperature=temperature, end=end,
                        purpose=DRAWN, pitches=pitches,
                    )  # fmt: skip

    def _judged(
        self, position: int, state: int, temperature: float, *, step: int = 1
    ) -> Iterator[PitchSeries]:
        """One fuel state of a judged position at one fuel temperature.

        Clean screens as well where ``step`` [deg] is 1, at the stated temperatures.
        """
        given = self.states[state]
        if given.purpose == UNUSABLE:
            wanted = [(OPEN_LINE, UNUSABLE, step)]
        else:
            wanted = [(end, purpose, step) for end, purpose in self.ends]
            if self.pitches.has_descent:
                ends = dict.fromkeys(end for end, _ in self.ends)
                wanted += [(end, DESCENT, COARSE) for end in ends]
        for end, purpose, width in wanted:
            block = PitchSeries(
                position=position, state=state, temperature=temperature, end=end, purpose=purpose,
                pitches=self.pitches.of(purpose, self.fed[position], state, width),
            )  # fmt: skip
            clean = width == 1 and purpose in (CLIMB, FLIGHT) and not given.dry
            if clean or not self.has_screen:
                yield block
            if self.has_screen:
                yield replace(block, dirty=True)

    def _between(self, position: int, here: list[int]) -> Iterator[PitchSeries]:
        """Give the same at fuel temperatures between the stated ones, for the leanest states."""
        for number in self._leanest(position, here):
            for block in self._judged(position, number, math.nan, step=COARSE):
                for temperature in self._temperatures_for(block.purpose):
                    yield replace(block, temperature=temperature)

    def _run(self, position: int) -> Iterator[PitchSeries]:
        """Give the take-off run, on the least take-off fuel: with less nobody takes off."""
        end = max(end for end, _ in self.ends)
        for temperature in (*self.system.temperatures, *self._temperatures_for(RUN)):
            yield PitchSeries(
                position=position, state=TAKEOFF, temperature=temperature, end=end, purpose=RUN,
                pitches=self.pitches.of(RUN, self.fed[position], TAKEOFF), dirty=self.has_screen,
            )  # fmt: skip

    def _leanest(self, position: int, here: list[int]) -> list[int]:
        """Of states (indices) with the same tanks dry keep those that no other has less fuel than.

        A tank at its unusable lies between the test quantity and a dry tank.
        """
        tanks = sorted(self.fed[position])
        fuel = {
            number: np.array(self.states[number].quantity)[tanks]
            for number in here
            if self.states[number].emptied is None
        }

        def beaten(number: int, other: int) -> bool:
            one, two = self.states[number], self.states[other]
            if one.dry != two.dry or one.purpose != two.purpose or number == other:
                return False
            no_more, less = fuel[other] <= fuel[number], fuel[other] < fuel[number]
            return bool(no_more.all() and (less.any() or other < number))

        return [number for number in fuel if not any(beaten(number, other) for other in fuel)]

    def _temperatures_for(self, purpose: str) -> tuple[float, ...]:
        """Fuel temperatures [K] between the stated ones; worked out once for each flow."""
        flow = required_flow(self.system.engine, purpose)
        if flow not in self.temperatures:
            self.temperatures[flow] = temperatures_between(self.assembly, flow, self._shares)
        return self.temperatures[flow]

    @cached_property
    def _shares(self) -> FloatArray:
        """Shares of the required flow in each pipe (scenario, pipe) [-]; NaN where none arrives."""
        stated = self.system.temperatures
        blocks = [
            PitchSeries(
                position=position, state=number, end=OPEN_LINE, purpose=CLIMB,
                temperature=float(np.clip(SHARES_AT, min(stated), max(stated))),
                pitches=self.pitches.of(CLIMB, self.fed[position], number, COARSE),
            )
            for position, setting in enumerate(self.assembly.positions)
            for number, state in enumerate(self.states)
            if setting.judged and state.purpose == CLIMB and state.belongs(self.fed[position])
        ]  # fmt: skip
        if not blocks:
            return np.zeros((0, len(self.assembly.network.pipes.part)))
        table = joined(self.assembly, self.states, blocks)
        situation = situate(self.assembly, table.scenarios)
        flow = table.required / situation.density
        drawn = with_demand(self.assembly, situation, flow)
        return flow_shares(self.assembly, solve(self.assembly.network, drawn.conditions), flow)


class _Pitches:
    """Pitches [rad] of each purpose and fuel state."""

    def __init__(self, assembly: Assembly, states: tuple[FuelState, ...]) -> None:
        self.assembly = assembly
        self.quantity = np.array([state.quantity for state in states])
        self.purposes = [state.purpose for state in states]
        system, flight = assembly.system, assembly.system.flight
        steepest = flight.climb_pitch + flight.test_margin
        self.level = flight.level_pitch
        self.named = np.array([flight.climb_pitch, steepest])
        climb = PitchStretch.between(flight.level_pitch, steepest)
        self.stretches = {CLIMB: climb, FLIGHT: climb, UNUSABLE: climb}
        descent = flight.descent_pitch
        self.has_descent = descent is not None and system.engine.descent_burn is not None
        if descent is not None:
            self.stretches[DESCENT] = PitchStretch.between(descent, flight.level_pitch)
        ground = system.routing.ground
        self.stretches[RUN] = PitchStretch.between(
            flight.level_pitch if ground is None else ground.pitch,
            flight.level_pitch,
            forward=flight.run_acceleration,
        )
        self.known: dict[tuple[str, frozenset[int], int, int], FloatArray] = {}
        self.crossings: dict[str, HeightCrossings] = {}

    @property
    def drawn(self) -> FloatArray:
        """Pitches of the picture."""
        whole = np.radians(np.arange(SWEEP_LOW, SWEEP_HIGH + 1, dtype=np.float64))
        return distinct(np.concatenate([whole, self.named]))

    def of(self, purpose: str, fed: frozenset[int], state: int, step: int = 1) -> FloatArray:
        """Give both ends of the stretch, multiples of ``step`` [deg], where outlets are in doubt.

        With whole degrees it is the same for all states, so that they can be compared.
        """
        key = (purpose, fed, -1 if step == 1 else state, step)
        if key not in self.known:
            stretch = self.stretches[purpose]
            doubtful = self._crossings(purpose).inside(fed, None if step == 1 else state)
            parts = [whole_degrees(stretch, self.level, step), doubtful]
            if stretch == self.stretches[CLIMB]:
                parts.append(self.named)
            self.known[key] = distinct(np.concatenate(parts))
        return self.known[key]

    def _crossings(self, purpose: str) -> HeightCrossings:
        """Where outlets come into doubt, uncover and leave doubt, at the dip of the flow asked for.

        Both ends lie within the doubt at every fuel temperature; both states are judged there.
        """
        purpose = CLIMB if purpose == FLIGHT else purpose
        if purpose not in self.crossings:
            system = self.assembly.system
            kind = UNUSABLE if purpose == UNUSABLE else CLIMB
            states = [number for number, own in enumerate(self.purposes) if own == kind]
            flow = required_flow(system.engine, purpose)
            ends = np.array([max(system.temperatures), min(system.temperatures)])
            run = system.flight.run_acceleration / STANDARD_GRAVITY if purpose == RUN else 0.0
            dip = critical_dip(flow / density(system.fuel, ends), math.hypot(1.0, run))
            bare, sure = doubt_ends(dip, system.height_deviation)
            self.crossings[purpose] = crossings(
                self.assembly,
                self.quantity,
                np.array([TAKEOFF] if purpose == RUN else states, dtype=np.intp),
                self.stretches[purpose],
                np.array([bare[0], dip[0], sure[1]]),
            )
        return self.crossings[purpose]

"""Which scenarios there are, which of them the verdict rests on, and what each must deliver."""

from collections import deque
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly
from flowsim.network.scenarios import CARBURETTOR, OPEN_LINE, Scenarios
from flowsim.physics.air import critical_dip
from flowsim.physics.arrays import FloatArray
from flowsim.physics.attitude import effective_gravity, height
from flowsim.physics.fuel_properties import density
from flowsim.physics.tank_surface import surface_elevation_of
from flowsim.system.tanks import StatedLevel

DIRTY_SCREEN = 0.2
"""[-] Clear fraction of a dirty screen in the judged set (common practice, no source)."""
SWEEP_LOW, SWEEP_HIGH = -15, 30
"""[deg] Pitch range that is drawn."""
UNCOVER_STEP = np.radians(0.02)
"""[rad] How closely the pitch at which an outlet uncovers is found, and stepped past."""

CLIMB, UNUSABLE, DESCENT, DRAWN = "climb", "unusable", "descent", "drawn"


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """A fuel state: what is in each tank [m3], and the tank (index) that is at its unusable."""

    name: str
    quantity: tuple[float, ...]
    purpose: str = CLIMB
    emptied: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenarioTable:
    """Scenarios with what is asked of them; all arrays (scenario,).

    ``state`` indexes ``states``; ``purpose`` names why a scenario is there; ``required`` [kg/s];
    ``dirty`` tells that screens are taken at 20 % clear.
    """

    scenarios: Scenarios
    states: tuple[State, ...]
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


def fuel_states(assembly: Assembly) -> tuple[State, ...]:
    """Give the fuel states of design section 1: test quantity, least take-off, one tank emptied.

    "test quantity" is the declared unusable fuel plus what one run of the test draws, in each tank.
    """
    tanks = assembly.system.tanks
    draw = assembly.system.test_draw
    unusable = tuple(0.0 if tank.unusable is None else tank.unusable for tank in tanks)
    test = tuple(
        0.0 if tank.unusable is None else value + draw
        for tank, value in zip(tanks, unusable, strict=True)
    )
    takeoff = tuple(0.0 if tank.least_takeoff is None else tank.least_takeoff for tank in tanks)
    states = [
        State(name="test quantity", quantity=test),
        State(name="least take-off fuel", quantity=takeoff),
    ]
    filled = [index for index, tank in enumerate(tanks) if not isinstance(tank.shape, StatedLevel)]
    if len(filled) > 1:
        for index in filled:
            mixed = tuple(unusable[i] if i == index else test[i] for i in range(len(tanks)))
            name = f"{tanks[index].name} at its unusable"
            states.append(State(name=name, quantity=mixed, emptied=index))
    states.append(State(name="declared unusable fuel", quantity=unusable, purpose=UNUSABLE))
    return tuple(states)


def scenario_table(assembly: Assembly) -> ScenarioTable:
    """Build the whole sweep and the judged set of design section 1.

    Returns
    -------
    ScenarioTable
        Drawn: -15 to +30 deg by 1 in every selector position, state and end. Judged: from level to
        climb + 5 deg with both ends and every pitch at which an outlet uncovers, positions meant
        for take-off and climb, screens as stated and dirty; the declared unusable fuel at
        full-power burn; the stated descent at its own burn.
    """
    states = fuel_states(assembly)
    pitches = _pitches(assembly, states)
    builder = _Builder(assembly, states)
    has_screen = bool((~np.isnan(assembly.network.coefficients.clear)).any())
    for index, position in enumerate(assembly.positions):
        fed = fed_tanks(assembly, index)
        for number, state in enumerate(states):
            if state.emptied is not None and (len(fed) < 2 or state.emptied not in fed):
                continue
            if state.purpose == UNUSABLE and not position.judged:
                continue
            for temperature in assembly.system.temperatures:
                for end in builder.ends:
                    builder.add(index, number, temperature, end, pitches, position.judged)
                    if has_screen and position.judged:
                        builder.add_dirty(index, number, temperature, end, pitches)
                    if position.judged:
                        builder.add_descent(index, number, temperature, end)
    return builder.table()


def fed_tanks(assembly: Assembly, position: int) -> frozenset[int]:
    """Tanks (indices) that a selector position joins to the engine's inlet."""
    network = assembly.network
    is_open = assembly.line_allowed[position] > 0
    tank_of = {node: tank for node, tank, _ in assembly.outlets}
    seen, queue, fed = {assembly.inlet}, deque([assembly.inlet]), set()
    while queue:
        node = queue.popleft()
        for link in np.flatnonzero(is_open & ((network.start == node) | (network.end == node))):
            far = int(network.end[link] if network.start[link] == node else network.start[link])
            if far in tank_of:
                fed.add(tank_of[far])
            elif not network.fixed[far] and far not in seen:
                seen.add(far)
                queue.append(far)
    return frozenset(fed)


class _Builder:
    """Collects blocks of scenarios and joins them once."""

    def __init__(self, assembly: Assembly, states: tuple[State, ...]) -> None:
        self.assembly = assembly
        self.states = states
        self.ends = [OPEN_LINE]
        if assembly.system.engine.carburettor is not None:
            self.ends.append(CARBURETTOR)
        self.blocks: list[dict[str, FloatArray]] = []

    def add(
        self,
        position: int,
        state: int,
        temperature: float,
        end: int,
        pitches: "_Pitches",
        judged_position: bool,
    ) -> None:
        """Add the drawn sweep of one combination, its judged part marked."""
        purpose = self.states[state].purpose
        if purpose == UNUSABLE:
            if end == OPEN_LINE:
                self._block(position, state, temperature, end, pitches.judged, purpose)
            return
        drawn = pitches.drawn
        if judged_position:
            self._block(position, state, temperature, end, pitches.judged, CLIMB)
            drawn = np.setdiff1d(drawn, pitches.judged)
        self._block(position, state, temperature, end, drawn, DRAWN)

    def add_dirty(
        self, position: int, state: int, temperature: float, end: int, pitches: "_Pitches"
    ) -> None:
        """Add the judged pitches with screens at 20 % clear."""
        if self.states[state].purpose == CLIMB:
            self._block(position, state, temperature, end, pitches.judged, CLIMB, dirty=True)

    def add_descent(self, position: int, state: int, temperature: float, end: int) -> None:
        """Add the stated descent."""
        flight = self.assembly.system.flight
        burn = self.assembly.system.engine.descent_burn
        if flight.descent_pitch is None or burn is None or self.states[state].purpose != CLIMB:
            return
        self._block(position, state, temperature, end, np.array([flight.descent_pitch]), DESCENT)

    def _block(
        self,
        position: int,
        state: int,
        temperature: float,
        end: int,
        pitches: FloatArray,
        purpose: str,
        *,
        dirty: bool = False,
    ) -> None:
        engine = self.assembly.system.engine
        required = {
            UNUSABLE: engine.burn,
            DESCENT: engine.descent_burn or engine.burn,
        }.get(purpose, engine.burn * engine.factor)
        size = len(pitches)
        self.blocks.append(
            {
                "pitch": pitches,
                "position": np.full(size, position),
                "state": np.full(size, state),
                "temperature": np.full(size, temperature),
                "end": np.full(size, end),
                "purpose": np.full(size, purpose),
                "required": np.full(size, required),
                "dirty": np.full(size, dirty),
            }
        )

    def table(self) -> ScenarioTable:
        """Join the blocks."""
        joined = {key: np.concatenate([b[key] for b in self.blocks]) for key in self.blocks[0]}
        flight = self.assembly.system.flight
        size = len(joined["pitch"])
        quantities = np.array([state.quantity for state in self.states])
        in_flight = joined["end"] == CARBURETTOR
        scenarios = Scenarios(
            gravity=effective_gravity(joined["pitch"], np.zeros(size)),
            pitch=joined["pitch"],
            roll=np.zeros(size),
            position=joined["position"].astype(np.intp),
            quantity=quantities[joined["state"]],
            temperature=joined["temperature"],
            airspeed=np.where(in_flight, flight.climb_speed, 0.0),
            altitude=np.full(size, flight.pressure_altitude),
            end=joined["end"].astype(np.intp),
            demand=np.zeros(size),
            dip_flow=joined["required"],
            screen_clear=np.where(joined["dirty"], DIRTY_SCREEN, np.nan),
        )
        return ScenarioTable(
            scenarios=scenarios,
            states=self.states,
            state=joined["state"].astype(np.intp),
            purpose=joined["purpose"],
            required=joined["required"],
            dirty=joined["dirty"].astype(bool),
        )


@dataclass(frozen=True, slots=True)
class _Pitches:
    drawn: FloatArray
    judged: FloatArray


def _pitches(assembly: Assembly, states: tuple[State, ...]) -> _Pitches:
    """Pitches [rad] that are drawn and judged, the ones at which an outlet uncovers included."""
    flight = assembly.system.flight
    steepest = flight.climb_pitch + flight.test_margin
    low, high = min(flight.level_pitch, steepest), max(flight.level_pitch, steepest)
    whole = np.radians(np.arange(SWEEP_LOW, SWEEP_HIGH + 1, dtype=np.float64))
    drawn = np.unique(np.concatenate([whole, [flight.climb_pitch, steepest]]))
    inside = whole[(whole > low) & (whole < high)]
    uncover = _uncovering(assembly, states, low, high)
    judged = np.unique(np.concatenate([[low, high, flight.climb_pitch], inside, uncover]))
    return _Pitches(drawn, judged)


def _uncovering(
    assembly: Assembly, states: tuple[State, ...], low: float, high: float
) -> FloatArray:
    """Pitches between ``low`` and ``high`` just past which an outlet uncovers or covers."""
    if high <= low:
        return np.zeros(0)
    grid = np.linspace(low, high, max(3, int(np.ceil(np.degrees(high - low))) + 1))
    quantity = np.array([state.quantity for state in states])
    which = np.repeat(np.arange(len(states)), len(grid))
    cover = _cover(assembly, quantity[which], np.tile(grid, len(states)))
    sign = np.sign(cover).reshape(len(states), len(grid), -1)
    state, step, outlet = np.nonzero(np.diff(sign, axis=1) != 0)
    if not len(state):
        return np.zeros(0)
    left, right = grid[step], grid[step + 1]
    before = sign[state, step, outlet]
    while (right - left).max() > UNCOVER_STEP:
        middle = 0.5 * (left + right)
        found = _cover(assembly, quantity[state], middle)[np.arange(len(state)), outlet]
        same = np.sign(found) == before
        left, right = np.where(same, middle, left), np.where(same, right, middle)
    return np.concatenate([left, right])


def _cover(assembly: Assembly, quantity: FloatArray, pitch: FloatArray) -> FloatArray:
    """Depth over each outlet beyond its critical dip (row, outlet) [m], hottest fuel.

    ``quantity`` (row, tank) [m3] and ``pitch`` (row,) [rad].
    """
    system = assembly.system
    gravity = effective_gravity(pitch, np.zeros(len(pitch)))
    required = system.engine.burn * system.engine.factor
    dip = critical_dip(required / density(system.fuel, max(system.temperatures)))
    elevation = height(assembly.points, gravity)
    surfaces = [
        surface_elevation_of(tank.shape, gravity, quantity[:, column])
        for column, tank in enumerate(system.tanks)
    ]
    columns = [surfaces[tank] - elevation[:, node] - dip for node, tank, _ in assembly.outlets]
    return np.column_stack(columns)

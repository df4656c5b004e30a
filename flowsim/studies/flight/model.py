"""One phase as a differential equation: what flows at given quantities, by the network."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.errors import DomainError
from flowsim.network.assembly import Assembly
from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.network.scenarios import (
    CARBURETTOR,
    OPEN_LINE,
    Situation,
    build_scenarios,
    situate,
)
from flowsim.network.solver import solve
from flowsim.physics.air.atmosphere import standard_pressure
from flowsim.physics.air.dips import critical_dip
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.physics.attitude import (
    coordinated_turn,
    effective_gravity,
    height,
    in_datum_axes,
    pull_of,
)
from flowsim.physics.fuel.properties import density, vapour_pressure
from flowsim.physics.tank.floor import NEAR, angle_from_dips
from flowsim.physics.tank.surface import capacity_of, quantity_below, surface_elevation_of
from flowsim.studies.delivery.deliver import deliver, take, with_demand
from flowsim.studies.delivery.pressures import at_drawn_flow, at_required_flow
from flowsim.system.profile import Phase
from flowsim.system.tanks import DipTable, StatedLevel

EMPTY_SLOPE = 10.0
"""[1/m2] Turns what is left in a tank into a depth, near empty: 0.1 L is 1 mm."""
LOST = -1.0
"""[m] Margin where nothing can arrive at all."""
BACK_SHARE = 5e-4
"""[-] Of the burn: a flow below minus this runs back, nearer zero it is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightFlows:
    """What flows in some states (row,): mass flows [kg/s] and margins [m].

    ``from_tank`` (row, tank) net flow out of each tank; ``delivered`` to the engine; ``margin`` of
    the phase's demand and ``required_margin`` of the required flow: head left at the inlet or
    height of fuel over an uncovered leg, the lesser; below zero it is lost; infinite where nothing
    is asked for. ``head_left`` [m] is that of the demand alone.
    """

    from_tank: FloatArray
    delivered: FloatArray
    margin: FloatArray
    required_margin: FloatArray
    head_left: FloatArray


class PhaseModel:
    """The network in one phase; quantities are volumes at the phase's fuel temperature.

    ``runs_back`` tells whether fuel would have run out of the bowl where the burn was lost.
    """

    def __init__(self, assembly: Assembly, phase: Phase) -> None:
        self.assembly, self.phase = assembly, phase
        self.runs_back = False
        system = assembly.system
        names = [position.name for position in assembly.positions]
        if phase.selector not in names:
            known = ", ".join(f'"{name}"' for name in names)
            raise DomainError(
                f'phase "{phase.name}": selector position "{phase.selector}" does not exist; '
                f"write one of {known}"
            )
        self.position = names.index(phase.selector)
        level = system.flight.level_pitch
        above_level, lean = np.array([phase.pitch - level]), np.array([phase.lean])
        law = coordinated_turn if phase.turning else effective_gravity
        self.gravity: FloatArray = in_datum_axes(law(above_level, lean), level)
        self.density = float(density(system.fuel, phase.temperature))
        self.required = system.engine.burn * system.engine.factor
        self.end = OPEN_LINE if system.engine.carburettor is None else CARBURETTOR
        shapes = [tank.shape for tank in system.tanks]
        self.stated = np.array([isinstance(shape, StatedLevel) for shape in shapes])
        self.capacity = np.array([capacity_of(shape) or 0.0 for shape in shapes])
        self.floor = np.array([s.quantities[0] if isinstance(s, DipTable) else 0.0 for s in shapes])
        self.limit = np.array([self._vent_limit(index) for index in range(len(shapes))])
        self.node_of = np.array([node for node, _, _ in assembly.outlets], dtype=np.intp)
        self.tank_of = np.array([tank for _, tank, _ in assembly.outlets], dtype=np.intp)
        self.outlet_elevation = height(assembly.points, self.gravity)[0, self.node_of]
        self.dip = float(critical_dip(phase.burn / self.density, pull_of(self.gravity)[0]))
        self.in_use = self._outlets_in_use()
        self._last: FloatArray | None = None
        self._same: dict[int, Situation] = {}

    def _vent_limit(self, index: int) -> float:
        """Most that a tank holds in this attitude [m3]: full, or up to where its vent leaves it."""
        tank = self.assembly.system.tanks[index]
        if tank.vent_at is None or isinstance(tank.shape, StatedLevel):
            return float(self.capacity[index])
        level = height(np.array([tank.vent_at]), self.gravity)[:, 0]
        held = float(quantity_below(tank.shape, self.gravity, level)[0])
        return float(self.capacity[index]) if np.isnan(held) else held

    def blind(self) -> tuple[str, ...]:
        """Tanks in use whose dips do not tell in this attitude which outlets are covered."""
        names = []
        for index, tank in enumerate(self.assembly.system.tanks):
            shape = tank.shape
            if not isinstance(shape, DipTable) or shape.floor is not None:
                continue
            away = float(angle_from_dips(shape, self.gravity).max())
            if away > NEAR and bool((self.in_use & (self.tank_of == index)).any()):
                names.append(tank.name)
        return tuple(names) if self.phase.burn > 0.0 else ()

    def _outlets_in_use(self) -> BoolArray:
        """Outlets (outlet,) at which an open line begins or ends."""
        network = self.assembly.network
        is_open = self.assembly.line_allowed[self.position] > 0
        touched = [
            bool((is_open & ((network.start == node) | (network.end == node))).any())
            for node in self.node_of
        ]
        return np.array(touched)

    def cover(self, quantity: FloatArray) -> FloatArray:
        """Fuel over each outlet beyond its dip (row, outlet) [m].

        A trial beyond full or empty is taken at the limit, and an empty tank covers nothing; the
        events keep such states out.
        """
        surface = self.surface(self._inside(quantity))
        depth = surface[:, self.tank_of] - self.outlet_elevation - self.dip
        # An outlet may lie below what the tank's description covers: empty is empty all the same.
        left = np.where(self.stated, np.inf, quantity - self.floor)[:, self.tank_of]
        cover: FloatArray = np.minimum(depth, EMPTY_SLOPE * left)
        return cover

    def require_inside(self, quantity: FloatArray) -> None:
        """Raise where a tank (tank,) holds less than nothing or more than it can."""
        slack = 1e-6 + 1e-6 * self.capacity
        outside = (quantity < self.floor - slack) | (quantity > self.limit + slack)
        if bool((outside & ~self.stated).any()):
            raise DomainError(
                f'phase "{self.phase.name}": a tank would hold less than nothing or more than it '
                "can; the flight is given up"
            )

    def surface(self, quantity: FloatArray) -> FloatArray:
        """Elevation of the surfaces (row, tank) [m]."""
        pull = np.broadcast_to(self.gravity, (len(quantity), 3))
        columns = [
            surface_elevation_of(tank.shape, pull, quantity[:, index])
            for index, tank in enumerate(self.assembly.system.tanks)
        ]
        return np.column_stack(columns)

    def flows(self, quantity: FloatArray, bare: BoolArray) -> FlightFlows:
        """Work out what flows.

        Parameters
        ----------
        quantity : FloatArray (row, tank)
            [m3]
        bare : BoolArray (outlet,)
            Outlets that are held as uncovered.

        Returns
        -------
        FlightFlows

        Raises
        ------
        DomainError
            A solve failed: there is no number to go on with.
        """
        size, demand = len(quantity), self.phase.burn
        levels = [demand, self.required] if demand > 0.0 else [demand]
        situation = self._situation(self._inside(quantity), len(levels), bare)
        asked = np.repeat(levels, size)
        start = self._last if self._last is not None and len(self._last) == len(asked) else None
        state = at_drawn_flow(self.assembly, situation, asked, start)
        solution = state.solution
        self._last = solution.flow if np.isfinite(solution.flow).all() else None
        self._require(bool(solution.converged[:size].all()))
        margin = np.fmin(state.head_left, state.air_margin)
        # Where the required flow cannot even be solved for, it counts as lost.
        margin = np.where(solution.supplied & solution.converged, margin, LOST)
        if demand == 0.0:
            margin = np.full(2 * size, np.inf)
        link_flow = solution.flow[:size].copy()
        delivered = np.full(size, demand)
        if demand > 0.0:
            short = np.flatnonzero(margin[:size] < 0.0)
            if len(short):
                found = self._starved(take(situation, short))
                link_flow[short], delivered[short] = found
        return FlightFlows(
            from_tank=self._from_tank(link_flow),
            delivered=delivered,
            margin=margin[:size],
            required_margin=margin[size:],
            head_left=np.where(solution.supplied, state.head_left, np.nan)[:size],
        )

    def vapour_margin(self, quantity: FloatArray, bare: BoolArray) -> float:
        """Least pressure over the fuel's vapour pressure [Pa] while the burn is drawn (row, tank).

        In the lines, and in the tanks, where it boils at the surface whatever is drawn.
        """
        situation = self._situation(self._inside(quantity), 1, bare)
        burn = np.full(len(quantity), self.phase.burn)
        in_lines = at_required_flow(self.assembly, situation, burn).vapour_margin
        warm = vapour_pressure(self.assembly.system.fuel, self.phase.temperature)
        over = standard_pressure(self.phase.altitude) + situation.tank_pressure - warm
        return float(np.fmin(in_lines, over.min(axis=1)).min())

    def _starved(self, situation: Situation) -> tuple[FloatArray, FloatArray]:
        """Flows (row, link) [m3/s] and what arrives (row,) [kg/s] where the demand is not met."""
        found = deliver(self.assembly, situation).deliverable * self.density
        self._require(bool(np.isfinite(found).all()))
        # A bowl that stands too high would run back into the tanks; its valve shuts instead.
        self.runs_back |= bool((found < -BACK_SHARE * self.phase.burn).any())
        arrives = np.clip(found, 0.0, self.phase.burn)
        drawn = with_demand(self.assembly, situation, arrives / self.density)
        solution = solve(self.assembly.network, drawn.conditions)
        self._require(bool((solution.converged & solution.supplied).all()))
        return solution.flow, arrives

    def _require(self, good: bool) -> None:
        if not good:
            raise DomainError(
                f'phase "{self.phase.name}": the flows could not be worked out; check the lines '
                "and the fuel of this phase"
            )

    def _inside(self, quantity: FloatArray) -> FloatArray:
        return np.clip(quantity, self.floor, np.where(self.stated, np.inf, self.capacity))

    def _from_tank(self, flow: FloatArray) -> FloatArray:
        """Net mass flow out of each tank (row, tank) [kg/s]."""
        network = self.assembly.network
        net = np.zeros((len(flow), len(self.assembly.system.tanks)))
        for node, tank, _ in self.assembly.outlets:
            net[:, tank] += flow[:, network.start == node].sum(axis=1)
            net[:, tank] -= flow[:, network.end == node].sum(axis=1)
        return self._header_full(net) * self.density

    def _header_full(self, net: FloatArray) -> FloatArray:
        """Let a tank of stated level take in no more than leaves it: it is full.

        What the network would send it beyond that stays in the tanks that send it, in proportion.
        """
        surplus = np.where(self.stated, np.maximum(-net, 0.0), 0.0)
        giving = np.where(self.stated, 0.0, np.maximum(net, 0.0))
        total = giving.sum(axis=1, keepdims=True)
        share = np.divide(giving, total, out=np.zeros_like(giving), where=total > 0.0)
        kept = np.where(total > 0.0, surplus.sum(axis=1, keepdims=True), 0.0)
        kept = np.minimum(kept, total)
        back = np.divide(
            surplus * kept, surplus.sum(axis=1, keepdims=True), out=np.zeros_like(surplus),
            where=surplus > 0.0,
        )  # fmt: skip
        full: FloatArray = net - share * kept + back
        return full

    def _situation(self, quantity: FloatArray, levels: int, bare: BoolArray) -> Situation:
        """Work out the situation of states (row, tank), each ``levels`` times.

        Outlets are held as covered or not, whatever their cover: between events nothing jumps. Only
        the surfaces and what hangs on them change in a phase.
        """
        # As the tank's description has it down to its last drop: an empty tank's outlets are bare.
        surface = self.surface(quantity)
        surface, count = np.tile(surface, (levels, 1)), levels * len(quantity)
        if count not in self._same:
            self._same[count] = self._at(np.repeat(quantity[:1], count, axis=0))
        base = self._same[count]
        # Fuel runs back into a tank against what lies over the outlet, enough to cover it or not.
        over = surface[:, self.tank_of]
        level = np.where(bare, np.maximum(self.outlet_elevation, over), over)
        heads = base.conditions.fixed_head.copy()
        heads[:, self.node_of] = level + self._over_surface(base)
        cover = surface[:, self.tank_of] - self.outlet_elevation - self.dip
        cover = np.where(bare, np.minimum(cover, 0.0), np.maximum(cover, 1e-12))
        return replace(
            base,
            scenarios=replace(base.scenarios, quantity=np.tile(quantity, (levels, 1))),
            surface=surface,
            cover=cover,
            conditions=replace(base.conditions, fixed_head=heads, allowed=self._open(bare, count)),
        )

    def _at(self, quantity: FloatArray, vents: FloatArray | None = None) -> Situation:
        """Work out the situation at quantities (row, tank) as any study would."""
        phase = self.phase
        scenarios = build_scenarios(
            self.assembly,
            gravity=self.gravity,
            pitch=phase.pitch,
            roll=phase.lean,
            position=self.position,
            quantity=quantity,
            temperature=phase.temperature,
            airspeed=phase.airspeed,
            altitude=phase.altitude,
            end=self.end,
            dip_flow=phase.burn,
        )
        return situate(self.assembly, scenarios, pressure_coefficient=vents)

    def _over_surface(self, base: Situation) -> FloatArray:
        """Head over the surface at each outlet (row, outlet) [m]: air, and what a test gave."""
        calibration = self.assembly.system.calibration
        raised = 0.0 if calibration is None else calibration.height
        weight = base.density[:, None] * STANDARD_GRAVITY
        over: FloatArray = raised + (base.tank_pressure / weight)[:, self.tank_of]
        return over

    def _open(self, bare: BoolArray, count: int) -> npt.NDArray[np.int8]:
        """Open directions (row, link) with outlets held as covered or not."""
        assembly, network = self.assembly, self.assembly.network
        lines = len(assembly.system.lines)
        allowed = np.array(self._same[count].conditions.allowed)
        allowed[:, :lines] = assembly.line_allowed[self.position, :lines]
        for node in self.node_of[bare]:
            allowed[:, :lines][:, network.start[:lines] == node] &= BACKWARD
            allowed[:, :lines][:, network.end[:lines] == node] &= FORWARD
        return allowed

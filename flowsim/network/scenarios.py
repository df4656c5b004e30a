"""From what a pilot would say (pitch, quantity, selector) to what the network needs."""

from dataclasses import dataclass, fields, replace
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.network.conditions import BACKWARD, FORWARD, Conditions
from flowsim.physics.air.atmosphere import dynamic_pressure
from flowsim.physics.air.dips import critical_dip
from flowsim.physics.arrays import FloatArray, FloatLike
from flowsim.physics.attitude import effective_gravity, height, pull_of
from flowsim.physics.fuel.properties import density, kinematic_viscosity
from flowsim.physics.tank.surface import surface_elevation_of
from flowsim.system.tanks import StatedLevel

IntLike = int | np.intp | npt.NDArray[np.intp]
"""One index or an array of them."""

OPEN_LINE, CARBURETTOR, DEMAND = 0, 1, 2
"""Values of ``Scenarios.end``."""


class EndName(StrEnum):
    """Where a scenario's line ends, as it is named in results and cases."""

    OPEN_LINE = "open line"
    CARBURETTOR = "carburettor"
    DEMAND = "demand"


END_NAMES = tuple(EndName)
"""Name of each value of ``Scenarios.end``."""
BY_HEIGHT, COVERED, BARE = 0, 1, -1
"""Values of ``Scenarios.cover_state``."""
SLIGHTLY = 1e-9
"""[m] Cover of an outlet that is taken covered, and the lack of it where it is taken bare."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenarios:
    """Arrays over scenarios (scenario,) unless said otherwise.

    ``gravity`` (scenario, 3): effective gravity over g0 (aft, right, up). ``pitch`` and ``roll``
    [rad] name it. ``position``: index into ``Assembly.positions``. ``quantity`` (scenario, tank)
    [m3]. ``temperature`` [K] of the fuel, ``airspeed`` [m/s] (0: on the ground), ``altitude`` [m].
    ``end``: OPEN_LINE, CARBURETTOR or DEMAND; ``demand`` [kg/s] is drawn from the inlet in the last
    case. ``dip_flow`` [kg/s] is the flow for which an outlet must stay covered. ``screen_clear``
    as in Conditions. ``cover_state`` (scenario, outlet): BY_HEIGHT, or what an outlet in doubt is
    taken for, COVERED or BARE; None where heights decide everywhere.
    """

    gravity: FloatArray
    pitch: FloatArray
    roll: FloatArray
    position: npt.NDArray[np.intp]
    quantity: FloatArray
    temperature: FloatArray
    airspeed: FloatArray
    altitude: FloatArray
    end: npt.NDArray[np.intp]
    demand: FloatArray
    dip_flow: FloatArray
    screen_clear: FloatArray
    cover_state: npt.NDArray[np.int8] | None = None

    @property
    def count(self) -> int:
        """Number of scenarios."""
        return len(self.pitch)

    def take(self, rows: npt.NDArray[np.intp] | npt.NDArray[np.bool_]) -> "Scenarios":
        """Give the named rows.

        Parameters
        ----------
        rows : IntArray (chosen,) or array of bool (scenario,)
            Which scenarios.

        Returns
        -------
        Scenarios
        """
        given = {item.name: getattr(self, item.name) for item in fields(self)}
        return replace(
            self, **{name: value[rows] for name, value in given.items() if value is not None}
        )


def build_scenarios(
    assembly: Assembly,
    *,
    pitch: FloatLike,
    quantity: FloatLike,
    temperature: FloatLike,
    gravity: FloatArray | None = None,
    roll: FloatLike = 0.0,
    position: IntLike = 0,
    airspeed: FloatLike = 0.0,
    altitude: FloatLike | None = None,
    end: IntLike = OPEN_LINE,
    demand: FloatLike = 0.0,
    dip_flow: FloatLike = 0.0,
    screen_clear: FloatLike = np.nan,
) -> Scenarios:
    """Build scenarios; what is one number is the same in all of them.

    Parameters
    ----------
    assembly : Assembly
        Of the system that they are of.
    pitch : FloatLike (scenario,)
        [rad] As ``Scenarios`` names it.
    quantity : FloatLike (scenario, tank) or (tank,)
        [m3] In each tank.
    temperature : FloatLike (scenario,)
        [K] Of the fuel.
    gravity : FloatArray (scenario, 3) or (3,), optional
        [-] Effective gravity over g0; that of pitch and roll at rest if not given.
    roll : FloatLike (scenario,)
        [rad] As ``Scenarios`` names it.
    position : IntLike (scenario,)
        Index into ``Assembly.positions``.
    airspeed : FloatLike (scenario,)
        [m/s] 0 on the ground.
    altitude : FloatLike (scenario,), optional
        [m] The pressure altitude of the flight if not given.
    end : IntLike (scenario,)
        OPEN_LINE, CARBURETTOR or DEMAND.
    demand, dip_flow : FloatLike (scenario,)
        [kg/s] Drawn from the inlet; for which an outlet must stay covered.
    screen_clear : FloatLike (scenario,)
        [-] Clear fraction that no screen exceeds, NaN for the stated ones; NaN throughout where
        the system has no screen.

    Returns
    -------
    Scenarios
        As many as the longest of them.

    Raises
    ------
    ValueError
        When lengths do not fit together.
    """
    columns = (pitch, roll, position, temperature, airspeed, end, demand, dip_flow, screen_clear)
    rows = [np.shape(column) for column in columns]
    rows += [np.shape(quantity)[:-1], () if gravity is None else np.shape(gravity)[:-1]]
    size = np.broadcast_shapes((1,), *rows)[0]

    def filled(value: FloatLike) -> FloatArray:
        return np.array(np.broadcast_to(value, size), dtype=np.float64)

    def counted(value: IntLike) -> npt.NDArray[np.intp]:
        return np.array(np.broadcast_to(value, size), dtype=np.intp)

    steep, leaning = filled(pitch), filled(roll)
    pull = effective_gravity(steep, leaning) if gravity is None else gravity
    flown = assembly.system.flight.pressure_altitude if altitude is None else altitude
    return Scenarios(
        gravity=np.array(np.broadcast_to(pull, (size, 3)), dtype=np.float64),
        pitch=steep,
        roll=leaning,
        position=counted(position),
        quantity=np.array(
            np.broadcast_to(quantity, (size, len(assembly.system.tanks))), dtype=np.float64
        ),
        temperature=filled(temperature),
        airspeed=filled(airspeed),
        altitude=filled(flown),
        end=counted(end),
        demand=filled(demand),
        dip_flow=filled(dip_flow),
        screen_clear=filled(screen_clear if assembly.network.has_screens else np.nan),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """Scenarios worked out: what the tanks, the attitude and the liquid impose.

    ``elevation`` (scenario, node) [m]; ``surface`` (scenario, tank) [m] elevation of the free
    surface; ``cover`` (scenario, outlet) [m] depth of fuel over each outlet beyond its critical
    dip (negative: uncovered); ``tank_pressure`` (scenario, tank) [Pa] above ambient;
    ``density`` [kg/m3] and ``kinematic_viscosity`` [m2/s] (scenario,).
    """

    scenarios: Scenarios
    conditions: Conditions
    elevation: FloatArray
    surface: FloatArray
    cover: FloatArray
    tank_pressure: FloatArray
    density: FloatArray
    kinematic_viscosity: FloatArray

    @property
    def uncovered(self) -> npt.NDArray[np.bool_]:
        """Outlets without enough fuel over them (scenario, outlet)."""
        bare: npt.NDArray[np.bool_] = ~(self.cover > 0)
        return bare


def situate(
    assembly: Assembly,
    scenarios: Scenarios,
    *,
    pressure_coefficient: FloatArray | None = None,
    surfaces_raised: FloatArray | None = None,
) -> Situation:
    """Work out heads, covered outlets, open links and the liquid for every scenario.

    Parameters
    ----------
    assembly : Assembly
    scenarios : Scenarios
    pressure_coefficient : FloatArray (scenario, tank) or (1, tank), optional
        [-] Pressure coefficients of the vents in flight; the stated ones where not given.
    surfaces_raised : FloatArray (scenario,), optional
        [m] By how much all surfaces stand higher over outlets and line than their quantities say,
        so that heights known to an error move what is covered. An empty tank is not filled by it.

    Returns
    -------
    Situation
        NaN surfaces (quantity beyond the tank) give NaN heads, which the solver refuses.
    """
    system = assembly.system
    liquid_density = density(system.fuel, scenarios.temperature)
    viscosity = kinematic_viscosity(system.fuel, scenarios.temperature)
    raised = 0.0
    if system.calibration is not None:
        viscosity = viscosity * system.calibration.viscosity
        raised = system.calibration.height
    elevation = height(assembly.points, scenarios.gravity)
    surface = surface_elevations(assembly, scenarios.gravity, scenarios.quantity)
    if surfaces_raised is not None:
        surface = surface + _rise(assembly, scenarios.quantity, surfaces_raised)
    tank_pressure = _tank_pressures(assembly, scenarios, pressure_coefficient)
    dip = critical_dip(scenarios.dip_flow / liquid_density, pull_of(scenarios.gravity))
    tank_of = np.array([tank for _, tank, _ in assembly.outlets], dtype=np.intp)
    node_of = np.array([node for node, _, _ in assembly.outlets], dtype=np.intp)
    cover = surface[:, tank_of] - elevation[:, node_of] - dip[:, None]
    cover = _as_taken(cover, scenarios.cover_state)
    column = tank_pressure / (liquid_density[:, None] * STANDARD_GRAVITY)
    fixed_head = np.full(elevation.shape, np.nan)
    bare = ~(cover > 0)
    # Fuel runs back into a tank against whatever lies over the outlet, enough or not to cover it.
    level = np.where(
        bare, np.maximum(elevation[:, node_of], surface[:, tank_of]), surface[:, tank_of]
    )
    level = np.where(np.isnan(surface[:, tank_of]), np.nan, level)
    fixed_head[:, node_of] = level + raised + column[:, tank_of]
    _set_ends(assembly, elevation, liquid_density, fixed_head)
    demand = np.zeros(elevation.shape)
    drawn = np.where(scenarios.end == DEMAND, scenarios.demand / liquid_density, 0.0)
    demand[:, assembly.inlet] = drawn
    conditions = Conditions(
        fixed_head=fixed_head,
        demand=demand,
        allowed=_allowed(assembly, scenarios, bare),
        kinematic_viscosity=viscosity,
        density=liquid_density,
        held_head=np.zeros((1, len(assembly.network.links))),
        screen_clear=scenarios.screen_clear,
    )
    return Situation(
        scenarios=scenarios,
        conditions=conditions,
        elevation=elevation,
        surface=surface,
        cover=cover,
        tank_pressure=tank_pressure,
        density=liquid_density,
        kinematic_viscosity=viscosity,
    )


def _as_taken(cover: FloatArray, state: npt.NDArray[np.int8] | None) -> FloatArray:
    """Give the cover (scenario, outlet) [m] with doubtful outlets as they are taken."""
    if state is None:
        return cover
    taken = np.where(state == COVERED, np.maximum(cover, SLIGHTLY), cover)
    found: FloatArray = np.where(state == BARE, np.minimum(taken, -SLIGHTLY), taken)
    return found


def surface_elevations(assembly: Assembly, gravity: FloatArray, quantity: FloatArray) -> FloatArray:
    """Give the elevations of the tanks' surfaces; each attitude and quantity is worked out once.

    An empty tank covers no outlet, whatever its shape: its surface stands no higher than the
    lowest of them (a dip table does not say where, a sump below the solid is not in it).

    Parameters
    ----------
    assembly : Assembly
    gravity : FloatArray (scenario, 3)
        Effective gravity over g0 in (aft, right, up) [-].
    quantity : FloatArray (scenario, tank)
        [m3]

    Returns
    -------
    FloatArray (scenario, tank)
        [m]
    """
    surfaces = np.empty((len(quantity), len(assembly.system.tanks)))
    for column, tank in enumerate(assembly.system.tanks):
        keys = np.column_stack([gravity, quantity[:, column]])
        distinct, inverse = keys, np.zeros(1, dtype=np.intp)
        if len(keys) > 1:
            distinct, inverse = np.unique(keys, axis=0, return_inverse=True)
        found = surface_elevation_of(tank.shape, distinct[:, :3], distinct[:, 3])
        if not isinstance(tank.shape, StatedLevel) and (distinct[:, 3] == 0.0).any():
            places = np.array([outlet.at for outlet in tank.outlets])
            lowest = height(places, distinct[:, :3]).min(axis=1)
            found = np.where(distinct[:, 3] == 0.0, np.fmin(found, lowest), found)
        surfaces[:, column] = found[inverse.reshape(-1)]
    return surfaces


def _rise(assembly: Assembly, quantity: FloatArray, raised: FloatArray) -> FloatArray:
    """Give by how much each surface (scenario, tank) [m] stands higher: not from empty."""
    stated = np.array([isinstance(tank.shape, StatedLevel) for tank in assembly.system.tanks])
    empty = (quantity <= 0.0) & ~stated
    return np.where(empty, np.minimum(raised, 0.0)[:, None], raised[:, None])


def _tank_pressures(
    assembly: Assembly, scenarios: Scenarios, coefficient: FloatArray | None
) -> FloatArray:
    if coefficient is None:
        stated = [tank.vent.pressure_coefficient for tank in assembly.system.tanks]
        coefficient = np.array([stated])
    ram = dynamic_pressure(scenarios.airspeed, scenarios.altitude)
    pressure: FloatArray = coefficient * ram[:, None]
    return pressure


def _set_ends(
    assembly: Assembly, elevation: FloatArray, density_: FloatArray, fixed_head: FloatArray
) -> None:
    """Give the open air and the float bowl their heads."""
    inlet = elevation[:, assembly.inlet]
    fixed_head[:, assembly.inlet + 1] = inlet
    carburettor = assembly.system.engine.carburettor
    if carburettor is None:
        return
    bowl = assembly.inlet + 2
    weight = density_ * STANDARD_GRAVITY
    if carburettor.least_inlet_pressure is not None:
        fixed_head[:, bowl] = inlet + carburettor.least_inlet_pressure / weight
    else:
        fixed_head[:, bowl] = elevation[:, bowl] + carburettor.bowl_pressure / weight


def _allowed(
    assembly: Assembly, scenarios: Scenarios, bare: npt.NDArray[np.bool_]
) -> npt.NDArray[np.int8]:
    """Open directions (scenario, link): an uncovered outlet lets fuel only into its tank."""
    allowed = assembly.line_allowed[scenarios.position].copy()
    for column, (node, _, _) in enumerate(assembly.outlets):
        for link in range(len(assembly.system.lines)):
            if assembly.network.start[link] == node:
                allowed[bare[:, column], link] &= BACKWARD
            if assembly.network.end[link] == node:
                allowed[bare[:, column], link] &= FORWARD
    allowed[:, assembly.open_link] = np.where(scenarios.end == OPEN_LINE, FORWARD, 0)
    if assembly.carburettor_link is not None:
        is_carburettor = scenarios.end == CARBURETTOR
        allowed[:, assembly.carburettor_link] = np.where(is_carburettor, FORWARD | BACKWARD, 0)
    return allowed

"""How long each run takes: the model of the container that fills while the tank falls."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.errors import DomainError
from flowsim.network.assembly import Assembly
from flowsim.network.conditions import Factors
from flowsim.network.scenarios import Situation, build_scenarios, situate
from flowsim.network.solver import Solution
from flowsim.physics.arrays import FloatArray
from flowsim.physics.tank.surface import capacity_of
from flowsim.studies.delivery.deliver import Delivery, deliver, take
from flowsim.studies.ground_test.runs import Setting
from flowsim.studies.sampling.draws import Draws

SIMPSON = ((0.0, 0.5, 1.0), (1.0 / 6.0, 4.0 / 6.0, 1.0 / 6.0))
"""[-] Shares of a run's volume at which its flow is solved, and their weights in the mean time per
volume."""
LOBATTO = (
    (0.0, 0.1726731646460114, 0.5, 0.8273268353539886, 1.0),
    (1.0 / 20.0, 49.0 / 180.0, 32.0 / 90.0, 49.0 / 180.0, 1.0 / 20.0),
)
"""[-] The same with five points, for runs that empty a tank so far that the flow changes much."""
LARGE_DRAW = 0.5
"""[-] A run that draws more than this share of the fuel there is solved at five points."""
LARGEST_BATCH = 20_000
"""Solves made together."""


@dataclass(frozen=True, eq=False)
class RunModel:
    """The runs of a test as scenarios (distinct x point, runs one after the other).

    Runs with equal settings are solved once: ``distinct`` are the settings, ``which`` (run,) tells
    which of them each run has. ``quantities`` (distinct, point, tank) [m3] as they fall in the
    middle of all bands; ``volume`` (distinct,) [m3]; ``weights`` (point,) [-] of the points in the
    mean time per volume; ``start`` flows (distinct x point, link) from which a search begins.
    """

    assembly: Assembly
    settings: tuple[Setting, ...]
    distinct: tuple[Setting, ...]
    which: npt.NDArray[np.intp]
    situation: Situation
    quantities: FloatArray
    volume: FloatArray
    weights: FloatArray
    start: FloatArray

    @property
    def points(self) -> int:
        """Moments of each run that are solved."""
        return len(self.weights)

    def seconds(self, draws: Draws | None = None) -> FloatArray:
        """Give the time of each run in each draw (draw, run) [s]; one row without draws.

        Infinite where the flow stops or begins to draw air at once before the container is full,
        NaN where a solve failed.
        """
        flow = self._flows(draws)
        with np.errstate(divide="ignore", invalid="ignore"):
            slowness = np.where(flow > 0, 1.0 / flow, np.where(np.isnan(flow), np.nan, np.inf))
        mean: FloatArray = slowness @ self.weights * self.volume
        return mean[:, self.which]

    def _flows(self, draws: Draws | None) -> FloatArray:
        """Volume flow (draw, distinct, point) [m3/s]."""
        runs = len(self.distinct)
        if draws is None:
            found = deliver(self.assembly, self.situation)
            return found.deliverable.reshape(1, runs, self.points)
        rows = runs * self.points
        size = max(1, LARGEST_BATCH // rows)
        parts = []
        for first in range(0, draws.count, size):
            chosen = np.arange(first, min(first + size, draws.count))
            parts.append(self._batch(draws, chosen))
        return np.concatenate(parts).reshape(draws.count, runs, self.points)

    def _batch(self, draws: Draws, chosen: npt.NDArray[np.intp]) -> FloatArray:
        rows = len(self.distinct) * self.points
        which = np.repeat(chosen, rows)
        scenario = np.tile(np.arange(rows), len(chosen))
        varied = _varied(self.assembly, take(self.situation, scenario), draws, which)
        factors: Factors = draws.factors.take(which)
        start = self.start[scenario] if np.isfinite(self.start).all() else None
        return deliver(self.assembly, varied, factors, start=start).deliverable


def _varied(
    assembly: Assembly, base: Situation, draws: Draws, which: npt.NDArray[np.intp]
) -> Situation:
    """Vary heights and viscosity; on the ground no air blows over the vents."""
    conditions = base.conditions
    heads = conditions.fixed_head.copy()
    for node, _, _ in assembly.outlets:
        heads[:, node] += draws.height[which]
    viscosity = conditions.kinematic_viscosity * draws.viscosity[which]
    changed = replace(conditions, fixed_head=heads, kinematic_viscosity=viscosity)
    return replace(base, conditions=changed)


def run_model(assembly: Assembly, settings: tuple[Setting, ...]) -> RunModel:
    """Make the model of some runs.

    Parameters
    ----------
    assembly : Assembly
        The network of the system, calibrated or not.
    settings : tuple of Setting
        At least one.

    Returns
    -------
    RunModel
        Fuel is drawn from the tanks as the flows divide in the middle of all bands.

    Raises
    ------
    DomainError
        No run, an unknown selector position, or a volume that is not above zero.
    """
    _check(assembly, settings)
    distinct = tuple(dict.fromkeys(settings))
    which = np.array([distinct.index(setting) for setting in settings], dtype=np.intp)
    volume = np.array([setting.volume for setting in distinct])
    start = np.array([setting.quantities for setting in distinct], dtype=np.float64)
    start = _begin(assembly, distinct, start)
    shares, weights = _rule(start.sum(axis=1), volume)
    levels = [start]
    for share in shares[1:]:
        divided = _division(assembly, _situation(assembly, distinct, levels[-1]))
        levels.append(_held(assembly, start - share * volume[:, None] * divided))
    quantities = np.stack(levels, axis=1)
    flat = quantities.reshape(-1, start.shape[1])
    repeated = tuple(setting for setting in distinct for _ in shares)
    situation = _situation(assembly, repeated, flat)
    return RunModel(
        assembly=assembly,
        settings=settings,
        distinct=distinct,
        which=which,
        situation=situation,
        quantities=quantities,
        volume=volume,
        weights=np.array(weights),
        start=deliver(assembly, situation).solution.flow,
    )


def _begin(assembly: Assembly, distinct: tuple[Setting, ...], start: FloatArray) -> FloatArray:
    """Give what is in each tank (distinct, tank) [m3] once a run has drawn what it drew before.

    Stretches of one drain-down follow each other; what they draw divides as the flows do.
    """
    runs: dict[Setting, list[int]] = {}
    for index in sorted(range(len(distinct)), key=lambda index: distinct[index].drawn_before):
        same = replace(distinct[index], drawn_before=0.0, volume=0.0)
        runs.setdefault(same, []).append(index)
    begin = start.copy()
    for stretches in runs.values():
        level, drawn = start[stretches[0]][None, :], 0.0
        for index in stretches:
            setting = (distinct[index],)
            step = distinct[index].drawn_before - drawn
            if step > 0.0:
                half = level - 0.5 * step * _division(
                    assembly, _situation(assembly, setting, level)
                )
                middle = _situation(assembly, setting, _held(assembly, half))
                level = _held(assembly, level - step * _division(assembly, middle))
            begin[index], drawn = level[0], distinct[index].drawn_before
    return begin


def _held(assembly: Assembly, quantities: FloatArray) -> FloatArray:
    """Give what tanks hold (..., tank) [m3]: what runs into a full one leaves it by its vent."""
    capacities = [capacity_of(tank.shape) for tank in assembly.system.tanks]
    most = np.array([np.inf if capacity is None else capacity for capacity in capacities])
    return np.clip(quantities, 0.0, most)


def _rule(there: FloatArray, volume: FloatArray) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Choose the points of the runs by how much of the fuel there (distinct,) [m3] they draw."""
    large = (there > 0.0) & (volume > LARGE_DRAW * there)
    return LOBATTO if large.any() else SIMPSON


def _check(assembly: Assembly, settings: tuple[Setting, ...]) -> None:
    if not settings:
        raise DomainError("there is no run; give at least one")
    names = [position.name for position in assembly.positions]
    for setting in settings:
        if setting.position not in names:
            raise DomainError(f'"{setting.position}" is not a selector position of the case')
        if not setting.volume > 0.0:
            raise DomainError("a run draws a volume above zero")


def _situation(
    assembly: Assembly, settings: tuple[Setting, ...], quantities: FloatArray
) -> Situation:
    """Work out some moments of runs; the open end stands at its own height."""
    names = [position.name for position in assembly.positions]
    engine = assembly.system.engine
    scenarios = build_scenarios(
        assembly,
        pitch=np.array([setting.pitch for setting in settings]),
        roll=np.array([setting.roll for setting in settings]),
        position=np.array([names.index(setting.position) for setting in settings]),
        quantity=quantities,
        temperature=np.array([setting.temperature for setting in settings]),
        altitude=0.0,
        dip_flow=engine.burn * engine.factor,
    )
    situation = situate(assembly, scenarios)
    heads = situation.conditions.fixed_head.copy()
    heads[:, assembly.inlet + 1] += np.array([setting.end_height for setting in settings])
    conditions = replace(situation.conditions, fixed_head=heads)
    return replace(situation, conditions=conditions)


def _division(assembly: Assembly, situation: Situation) -> FloatArray:
    """Share of the flow that each tank gives (scenario, tank); fuel may also flow back into one."""
    found: Delivery = deliver(assembly, situation)
    given = tank_flows(assembly, found.solution)
    total = given.sum(axis=1, keepdims=True)
    fed = np.abs(given) > 0
    even = fed / np.maximum(fed.sum(axis=1, keepdims=True), 1)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = given / total
    divided: FloatArray = np.where(np.isfinite(share), share, even)
    return divided


def tank_flows(assembly: Assembly, solution: Solution) -> FloatArray:
    """Volume flow out of each tank (scenario, tank) [m3/s]; negative: back into it."""
    network = assembly.network
    flow = solution.flow[:, : assembly.open_link]
    given = np.zeros((len(flow), len(assembly.system.tanks)))
    for node, tank, _ in assembly.outlets:
        out = network.start[: assembly.open_link] == node
        back = network.end[: assembly.open_link] == node
        given[:, tank] += flow[:, out].sum(axis=1) - flow[:, back].sum(axis=1)
    return given

"""How much of the fuel must not be counted on: per tank, selector position and attitude.

Method and words: ``docs/theory/unusable.md``. Wings level and turns without slip decide, for the
least take-off fuel the take-off run too; slips are reported beside, because a steady slip drains a
wing tank's outlet at almost any quantity and no placard can cover it.
"""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.errors import DomainError
from flowsim.network.assembly import Assembly, assemble
from flowsim.network.scenarios import END_NAMES
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.studies.flight_attitudes import LEVEL, RUN, SLIP, TURN, Attitudes, attitudes_of
from flowsim.studies.limit_search import Limits, find_limits
from flowsim.studies.result import Verdict
from flowsim.studies.unusable_rows import AIR, DOUBT, FLOW, Emptying, Rows, Trials
from flowsim.studies.unusable_rows import build_rows as _build_rows
from flowsim.studies.unusable_rows import emptyings as _emptyings
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import StatedLevel, Tank

PLACARD_STEP = 0.0005
"""[m3] Placard figures are rounded up to 0.5 L (common practice, no source)."""
REQUIRED, BURN, STOP = 0, 1, 2
DECIDING = (LEVEL, TURN)

Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Extreme:
    """The largest limit of a group and where it is found.

    ``quantity`` [m3]: infinite where not even a full tank is enough, NaN where nothing was asked.
    ``reason``: "flow" or "air". Angles [rad], ``temperature`` [K]. ``together``: other tanks were
    emptied alike.
    """

    quantity: float
    reason: str = ""
    selector: str = ""
    together: bool = False
    kind: str = ""
    pitch: float = math.nan
    lean: float = math.nan
    temperature: float = math.nan
    end: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AttitudeLimits:
    """Limits [m3] of one emptying in one attitude, worst over temperatures and ends.

    ``tanks`` are emptied together, each to the same quantity. ``stops``: below it nothing flows.
    ``burn_flow`` and ``burn_air``: below it the burn does not arrive, or air is drawn at it.
    ``required_flow`` and ``required_air``: the same for the required flow; NaN where it is not
    asked for. Infinite: not even with full tanks.
    """

    selector: str
    tanks: tuple[str, ...]
    judged: bool
    kind: str
    pitch: float
    lean: float
    stops: float
    burn_flow: float
    burn_air: float
    required_flow: float
    required_air: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TankUnusable:
    """The answer for one tank; quantities [m3].

    ``burn`` and ``required``: largest limit of the deciding attitudes for the burn and for the
    required flow, air included. ``stops``: where all flow has stopped. ``slip``: largest limit for
    the burn in slips, which does not decide. ``doubt_burn`` and ``doubt_required``: the same as
    ``burn`` and ``required`` where air may be drawn. ``unusable_placard`` and
    ``takeoff_placard`` are rounded up. ``takeoff``: least fuel for the required flow at take-off.
    """

    name: str
    capacity: float
    declared: float
    test_draw: float
    least_takeoff: float
    burn: Extreme
    required: Extreme
    stops: Extreme
    slip: Extreme
    doubt_burn: Extreme
    doubt_required: Extreme
    takeoff: Extreme
    unusable_placard: float
    takeoff_placard: float
    verdict: Verdict
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UnusableResult:
    """The whole answer; ``failed`` counts rows in which a solve failed (they count as lost)."""

    title: str
    burn: float
    required: float
    descent_burn: float | None
    pitch_low: float
    pitch_high: float
    tanks: tuple[TankUnusable, ...]
    attitudes: tuple[AttitudeLimits, ...]
    failed: int
    verdict: Verdict
    reasons: tuple[str, ...]


def unusable_fuel(system: FuelSystem, progress: Progress | None = None) -> UnusableResult:
    """Work out the unusable fuel of every tank.

    Parameters
    ----------
    system : FuelSystem
    progress : callable, optional
        Called with a word, how many are done, and how many there are.

    Returns
    -------
    UnusableResult
        Limits to 0.01 L, on nominal values, screens at 20 % clear.

    Raises
    ------
    DomainError
        No tank reaches the engine.
    """
    assembly = assemble(system)
    ways = _emptyings(assembly)
    if not ways and not any(isinstance(tank.shape, StatedLevel) for tank in system.tanks):
        raise DomainError("no tank with a quantity feeds the engine; state a tank's shape")
    if not ways:
        return _through_header(system)
    attitudes = attitudes_of(system)
    table = _Table(assembly, attitudes, ways, progress)
    tanks = tuple(
        _tank_result(table, index, tank)
        for index, tank in enumerate(system.tanks)
        if any(index in way.tanks for way in ways)
    )
    verdicts = [tank.verdict for tank in tanks]
    worst = next(
        v for v in (Verdict.NOT_ADEQUATE, Verdict.CANNOT_TELL, Verdict.ADEQUATE) if v in verdicts
    )
    engine = system.engine
    return UnusableResult(
        title=system.title,
        burn=engine.burn,
        required=engine.burn * engine.factor,
        descent_burn=engine.descent_burn,
        pitch_low=float(attitudes.pitch.min()),
        pitch_high=float(attitudes.pitch.max()),
        tanks=tanks,
        attitudes=tuple(table.attitude_limits()),
        failed=int(table.trials.failed.sum()),
        verdict=worst,
        reasons=tuple(dict.fromkeys(reason for tank in tanks for reason in tank.reasons)),
    )


def _through_header(system: FuelSystem) -> UnusableResult:
    """Answer for a system in which a header tank alone feeds the engine."""
    attitudes = attitudes_of(system)
    engine = system.engine
    words = "a header tank alone feeds the engine: the tanks behind it count by its refill"
    return UnusableResult(
        title=system.title,
        burn=engine.burn,
        required=engine.burn * engine.factor,
        descent_burn=engine.descent_burn,
        pitch_low=float(attitudes.pitch.min()),
        pitch_high=float(attitudes.pitch.max()),
        tanks=(),
        attitudes=(),
        failed=0,
        verdict=Verdict.CANNOT_TELL,
        reasons=(words,),
    )


class _Table:
    """Rows with their limits (row, criterion), and questions to them."""

    def __init__(
        self,
        assembly: Assembly,
        attitudes: Attitudes,
        ways: tuple[Emptying, ...],
        progress: Progress | None,
    ) -> None:
        self.assembly, self.attitudes, self.ways = assembly, attitudes, ways
        self.rows: Rows = _build_rows(assembly, attitudes, ways)
        self.trials = Trials(assembly, attitudes, ways, self.rows)
        self.kind_of_attitude = np.array(attitudes.kind)
        self.judged = np.array([assembly.positions[way.position].judged for way in ways])
        self.limit = np.full((self.rows.count, 3), np.nan)
        for number, kinds in enumerate(((REQUIRED, BURN), (STOP,))):
            if progress is not None:
                progress("emptying tanks", number, 2)
            self._fill(np.flatnonzero(np.isin(self.rows.kind, kinds)), stop=kinds == (STOP,))

    def _fill(self, chosen: npt.NDArray[np.intp], *, stop: bool) -> None:
        trials = self.trials
        law = trials.any_flow if stop else trials.at_demand
        low, high = trials.range()
        found: Limits = find_limits(
            lambda rows, quantity: law(chosen[rows], quantity),
            low[chosen],
            high[chosen],
            trials.jumps()[chosen],
            1 if stop else 3,
        )
        self.limit[chosen, : found.quantity.shape[1]] = found.quantity

    def choose(
        self, tank: int, kind: int, groups: Iterable[str], *, upward: bool = False
    ) -> BoolArray:
        """Rows in judged positions that empty a tank, of some demand and attitudes."""
        rows = self.rows
        empties = np.array([tank in way.tanks for way in self.ways]) & self.judged
        chosen: BoolArray = empties[rows.emptying] & (rows.kind == kind)
        chosen &= np.isin(self.kind_of_attitude[rows.attitude], list(groups))
        if upward:
            level = self.assembly.system.flight.level_pitch - 1e-12
            chosen &= self.attitudes.pitch[rows.attitude] >= level
        return chosen

    def extreme(self, chosen: BoolArray, *criteria: int) -> Extreme:
        """Find the largest limit of some rows and criteria."""
        rows = np.flatnonzero(chosen)
        if not len(rows):
            return Extreme(quantity=math.nan)
        values = self.limit[np.ix_(rows, np.array(criteria))]
        place = int(np.argmax(values))
        row, column = int(rows[place // len(criteria)]), place % len(criteria)
        way = self.ways[int(self.rows.emptying[row])]
        attitude = int(self.rows.attitude[row])
        return Extreme(
            quantity=float(values.ravel()[place]),
            reason="flow" if criteria[column] == FLOW else "air",
            selector=self.assembly.positions[way.position].name,
            together=len(way.tanks) > 1,
            kind=self.attitudes.kind[attitude],
            pitch=float(self.attitudes.pitch[attitude]),
            lean=float(self.attitudes.lean[attitude]),
            temperature=float(self.rows.temperature[row]),
            end=END_NAMES[int(self.rows.end[row])],
        )

    def failed(self, chosen: BoolArray) -> bool:
        """Whether a solve failed in any of some rows."""
        return bool(self.trials.failed[chosen].any())

    def attitude_limits(self) -> Iterable[AttitudeLimits]:
        """Give the limits of every emptying in every attitude."""
        rows, names = self.rows, [tank.name for tank in self.assembly.system.tanks]
        size = (len(self.ways), self.attitudes.count)
        worst = np.full((3, *size, 3), -np.inf)
        for kind in (REQUIRED, BURN, STOP):
            mine = np.flatnonzero(rows.kind == kind)
            at = (rows.emptying[mine], rows.attitude[mine])
            np.maximum.at(worst[kind], at, self.limit[mine])
        worst = np.where(np.isneginf(worst), np.nan, worst)
        for number, way in enumerate(self.ways):
            position = self.assembly.positions[way.position]
            for attitude in range(self.attitudes.count):
                here: FloatArray = worst[:, number, attitude]
                yield AttitudeLimits(
                    selector=position.name,
                    tanks=tuple(names[tank] for tank in way.tanks),
                    judged=position.judged,
                    kind=self.attitudes.kind[attitude],
                    pitch=float(self.attitudes.pitch[attitude]),
                    lean=float(self.attitudes.lean[attitude]),
                    stops=float(here[STOP, 0]),
                    burn_flow=float(here[BURN, FLOW]),
                    burn_air=float(here[BURN, AIR]),
                    required_flow=float(here[REQUIRED, FLOW]),
                    required_air=float(here[REQUIRED, AIR]),
                )


def _tank_result(table: _Table, index: int, tank: Tank) -> TankUnusable:
    """Judge one tank against what is declared."""
    burn_rows = table.choose(index, BURN, DECIDING)
    required_rows = table.choose(index, REQUIRED, DECIDING)
    start_rows = table.choose(index, REQUIRED, DECIDING, upward=True)
    start_rows |= table.choose(index, BURN, (RUN,))
    burn = table.extreme(burn_rows, FLOW, AIR)
    required = table.extreme(required_rows, FLOW, AIR)
    takeoff = table.extreme(start_rows, FLOW, DOUBT)
    doubts = (
        table.extreme(burn_rows, FLOW, DOUBT),
        table.extreme(required_rows, FLOW, DOUBT),
    )
    draw = table.assembly.system.test_draw
    capacity = float(table.trials.most[index])
    failed = table.failed(burn_rows | required_rows)
    verdict, reasons = _verdict(tank, draw, burn, required, takeoff, doubts, failed)
    worst = max(burn.quantity, required.quantity, key=_nan_low)
    return TankUnusable(
        name=tank.name,
        capacity=capacity,
        declared=math.nan if tank.unusable is None else tank.unusable,
        test_draw=draw,
        least_takeoff=math.nan if tank.least_takeoff is None else tank.least_takeoff,
        burn=burn,
        required=required,
        stops=table.extreme(table.choose(index, STOP, DECIDING), 0),
        slip=table.extreme(table.choose(index, BURN, (SLIP,)), FLOW, AIR),
        doubt_burn=doubts[0],
        doubt_required=doubts[1],
        takeoff=takeoff,
        unusable_placard=rounded_up(max(worst, doubts[0].quantity, key=_nan_low)),
        takeoff_placard=rounded_up(takeoff.quantity),
        verdict=verdict,
        reasons=reasons,
    )


def _verdict(
    tank: Tank,
    draw: float,
    burn: Extreme,
    required: Extreme,
    takeoff: Extreme,
    doubts: tuple[Extreme, Extreme],
    failed: bool,
) -> tuple[Verdict, tuple[str, ...]]:
    """Compare the declared figures with the computed ones; NaN on either side never passes."""
    name = f'tank "{tank.name}"'
    if math.isnan(burn.quantity) or tank.unusable is None or tank.least_takeoff is None:
        words = f"{name}: no position meant for take-off and climb feeds from it; not judged"
        return Verdict.CANNOT_TELL, (words,)
    short = []
    if not burn.quantity <= tank.unusable:
        short.append(f"{name}: the declared unusable fuel is less than the computed one")
    if not required.quantity <= tank.unusable + draw:
        short.append(
            f"{name}: the required flow is lost above the declared unusable fuel plus what the "
            "test draws"
        )
    if not takeoff.quantity <= tank.least_takeoff:
        short.append(f"{name}: the stated least take-off fuel does not hold the required flow")
    if short and not failed:
        return Verdict.NOT_ADEQUATE, tuple(short)
    doubtful = []
    if failed:
        doubtful = [f"{name}: a solve failed, so its figures are not to be relied on", *short]
    elif not (doubts[0].quantity <= tank.unusable and doubts[1].quantity <= tank.unusable + draw):
        doubtful = [f"{name}: air may be drawn at the declared unusable fuel"]
    if doubtful:
        return Verdict.CANNOT_TELL, tuple(doubtful)
    return Verdict.ADEQUATE, ()


def rounded_up(quantity: float) -> float:
    """Round a quantity [m3] up to the placard's step; what is not finite stays so."""
    if not math.isfinite(quantity):
        return quantity
    return math.ceil(quantity / PLACARD_STEP - 1e-9) * PLACARD_STEP


def _nan_low(value: float) -> float:
    return -math.inf if math.isnan(value) else value

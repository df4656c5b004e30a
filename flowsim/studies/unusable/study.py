"""How much of the fuel must not be counted on: per tank, selector position and attitude.

Method and words: ``docs/theory/unusable.md``. Wings level and turns without slip decide, for the
least take-off fuel the take-off run too; slips are reported beside, because a steady slip drains a
wing tank's outlet at almost any quantity and no placard can cover it.
"""

import math

import numpy as np

from flowsim.errors import DomainError
from flowsim.network.assembly import assemble
from flowsim.physics.air.dips import DIP_CAUTIOUS, DIP_EXPECTED
from flowsim.physics.arrays import BoolArray
from flowsim.physics.tank.floor import NEAR, angle_from_dips
from flowsim.progress import Progress
from flowsim.studies.judged.flight_attitudes import FLOWN_SLIP, RUN, SLIP, attitudes_of
from flowsim.studies.result import UNSOLVED_REMEDY, Verdict
from flowsim.studies.sampling.draws import BATCH, SEED, draw
from flowsim.studies.saying import Said, Saying, saying
from flowsim.studies.unusable.bands import (
    DECIDING,
    in_order,
    short_in_draws,
    slip_fuel,
    tank_bands,
)
from flowsim.studies.unusable.drawn import DrawnTrials
from flowsim.studies.unusable.groups import group_bands
from flowsim.studies.unusable.result import (
    AttitudeLimits,
    Cautious,
    Extreme,
    TankBands,
    TankUnusable,
    UnusableResult,
)
from flowsim.studies.unusable.rows import AIR, BURN, DOUBT, FLOW, REQUIRED, STOP, emptyings
from flowsim.studies.unusable.table import LimitTable
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import DipTable, StatedLevel, Tank

__all__ = ["AttitudeLimits", "Extreme", "TankUnusable", "UnusableResult", "unusable_fuel"]

PLACARD_STEP = 0.0005
"""[m3] Placard figures are rounded up to 0.5 L (common practice, no source)."""
SAYS = (
    saying("unusable.declared_unusable_fuel_less"),
    saying("unusable.required_flow_lost_above"),
    saying("unusable.stated_least_take_off"),
)
"""Of the burn, the required flow and the take-off, where the figure does not hold."""
TOO_SMALL = saying("unusable.line_too_small_loses")


def unusable_fuel(
    system: FuelSystem,
    progress: Progress | None = None,
    *,
    nominal: bool = False,
    draws: int = BATCH,
    seed: int = SEED,
    by_attitude: bool = True,
) -> UnusableResult:
    """Work out the unusable fuel of every tank.

    Parameters
    ----------
    system : FuelSystem
    progress : callable, optional
        Called with a word, how many are done, and how many there are.
    nominal : bool
        Leave out the bands.
    draws, seed : int
        Of a check, whose first ``drawn.DRAWN`` draws give the bands.
    by_attitude : bool
        Work out the bands by kind of attitude too, on which no verdict rests.

    Returns
    -------
    UnusableResult
        Limits to 0.01 L, screens at 20 % clear: on nominal values, and their bands; those by kind
        of attitude of ``groups.GROUP_DRAWS`` draws.

    Raises
    ------
    DomainError
        No tank reaches the engine.
    """
    assembly = assemble(system)
    ways = emptyings(assembly)
    if not ways and not any(isinstance(tank.shape, StatedLevel) for tank in system.tanks):
        raise DomainError("no tank with a quantity feeds the engine; state a tank's shape")
    if not ways:
        return _through_header(system)
    attitudes = attitudes_of(system)
    table = LimitTable(assembly, attitudes, ways, progress=progress)
    every = None if nominal else draw(assembly, draws, seed)
    drawn = None if every is None else DrawnTrials(table.trials, every)
    if progress is not None and not nominal:
        progress("drawing", 0, 1)
    tanks = tuple(
        _tank_result(table, drawn, index, tank)
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
        groups=group_bands(table, every) if every is not None and by_attitude else (),
        failed=int(table.trials.failed.sum()),
        draws=0 if drawn is None else drawn.count,
        verdict=worst,
        reasons=tuple(dict.fromkeys(reason for tank in tanks for reason in tank.reasons)),
    )


def _through_header(system: FuelSystem) -> UnusableResult:
    """Answer for a system in which a header tank alone feeds the engine."""
    attitudes = attitudes_of(system)
    engine = system.engine
    words = saying("unusable.header_tank_alone_feeds")
    return UnusableResult(
        title=system.title,
        burn=engine.burn,
        required=engine.burn * engine.factor,
        descent_burn=engine.descent_burn,
        pitch_low=float(attitudes.pitch.min()),
        pitch_high=float(attitudes.pitch.max()),
        tanks=(),
        attitudes=(),
        groups=(),
        failed=0,
        draws=0,
        verdict=Verdict.CANNOT_TELL,
        reasons=(words,),
    )


def _tank_result(
    table: LimitTable, drawn: DrawnTrials | None, index: int, tank: Tank
) -> TankUnusable:
    """Judge one tank against what is declared."""
    burn_rows = table.choose(index, BURN, DECIDING)
    required_rows = table.choose(index, REQUIRED, DECIDING)
    burn = table.extreme(burn_rows, FLOW, AIR)
    required = table.extreme(required_rows, FLOW, AIR)
    takeoff = table.extreme(_start_rows(table, index), FLOW, AIR)
    careful_rows = table.choose(index, BURN, DECIDING, times=DIP_CAUTIOUS)
    careful_required = table.choose(index, REQUIRED, DECIDING, times=DIP_CAUTIOUS)
    cautious = Cautious(
        burn=table.extreme(careful_rows, FLOW, DOUBT),
        required=table.extreme(careful_required, FLOW, DOUBT),
        takeoff=table.extreme(_start_rows(table, index, DIP_CAUTIOUS), FLOW, DOUBT),
        flown_slip=_in_slips(table, index, DIP_CAUTIOUS, DOUBT),
    )
    bands = None if drawn is None else tank_bands(table, drawn, index, tank)
    test_draw = table.assembly.system.test_draw
    capacity = float(table.trials.most[index])
    unsolved = table.unsolved(burn_rows | required_rows | careful_rows | careful_required)
    # A failed solve counts as lost, which would look like a line that is too small.
    too_small = not unsolved and table.line_too_small(burn_rows | required_rows, capacity)
    figures = (burn, required, takeoff)
    verdict, reasons = _judged(table, tank, figures, cautious, bands, unsolved, too_small)
    placards = _placards(figures, cautious, bands)
    return TankUnusable(
        name=tank.name,
        capacity=capacity,
        declared=math.nan if tank.unusable is None else tank.unusable,
        test_draw=test_draw,
        slip_fuel=slip_fuel(table.assembly.system, tank),
        least_takeoff=math.nan if tank.least_takeoff is None else tank.least_takeoff,
        burn=burn,
        required=required,
        stops=table.extreme(table.choose(index, STOP, DECIDING), 0),
        slip=table.extreme(table.choose(index, BURN, (SLIP,)), FLOW, AIR),
        flown_slip=_in_slips(table, index, DIP_EXPECTED, AIR),
        doubt_burn=table.extreme(burn_rows, FLOW, DOUBT),
        doubt_required=table.extreme(required_rows, FLOW, DOUBT),
        takeoff=takeoff,
        cautious=cautious,
        bands=bands,
        line_too_small=too_small,
        unusable_placard=math.nan if too_small else placards[0],
        takeoff_placard=math.nan if too_small else placards[1],
        verdict=verdict,
        reasons=reasons,
    )


def _in_slips(table: LimitTable, index: int, times: float, criterion: int) -> Extreme | None:
    """Find the largest limit for the burn in the slips that the case flies; None without any."""
    rows = table.choose(index, BURN, (FLOWN_SLIP,), times=times)
    return table.extreme(rows, FLOW, criterion) if rows.any() else None


def _start_rows(table: LimitTable, index: int, times: float = DIP_EXPECTED) -> BoolArray:
    """Rows that ask for the least take-off fuel: climbing, and in the take-off run at the burn."""
    rows = table.choose(index, REQUIRED, DECIDING, times=times, upward=True)
    return rows | table.choose(index, BURN, (RUN,), times=times)


def _judged(
    table: LimitTable,
    tank: Tank,
    figures: tuple[Extreme, Extreme, Extreme],
    cautious: Cautious,
    bands: TankBands | None,
    unsolved: Said,
    too_small: bool,
) -> tuple[Verdict, tuple[Said, ...]]:
    """Judge by the figures, by their bands, and by what a dip table cannot tell."""
    test_draw = table.assembly.system.test_draw
    verdict, reasons = _verdict(tank, test_draw, figures, cautious, unsolved, too_small)
    if not unsolved:
        verdict, reasons = _in_draws(tank, test_draw, bands, verdict, reasons)
    return _if_dipped(table, tank, verdict, reasons)


def _if_dipped(
    table: LimitTable, tank: Tank, verdict: Verdict, reasons: tuple[Said, ...]
) -> tuple[Verdict, tuple[Said, ...]]:
    """Take back what a dip table without a floor cannot tell, away from its own attitude."""
    shape, attitudes = tank.shape, table.attitudes
    if not isinstance(shape, DipTable) or shape.floor is not None:
        return verdict, reasons
    deciding = np.isin(np.array(attitudes.kind), [*DECIDING, RUN])
    if not (angle_from_dips(shape, attitudes.gravity[deciding]) > NEAR).any():
        return verdict, reasons
    words = saying("unusable.tank_known_dip_table", tank=tank.name)
    return (
        verdict if verdict is Verdict.NOT_ADEQUATE else Verdict.CANNOT_TELL,
        (*reasons, words),
    )


def _verdict(
    tank: Tank,
    draw: float,
    figures: tuple[Extreme, Extreme, Extreme],
    cautious: Cautious,
    unsolved: Said,
    too_small: bool,
) -> tuple[Verdict, tuple[Said, ...]]:
    """Compare the declared figures with the computed ones; NaN on either side never passes."""
    name = saying("unusable.tank", tank=tank.name)
    burn, required, takeoff = (item.quantity for item in figures)
    if unsolved:
        # What is short may be so by the solves that failed alone: that is no finding.
        words = saying(
            "unusable.network_could_not_solved",
            name=name,
            unsolved=unsolved,
            remedy=UNSOLVED_REMEDY,
        )
        return Verdict.CANNOT_TELL, (words,)
    if math.isnan(burn) or tank.unusable is None or tank.least_takeoff is None:
        words = saying("unusable.no_position_meant_take", name=name)
        return Verdict.CANNOT_TELL, (words,)
    wanted = (tank.unusable, tank.unusable + draw, tank.least_takeoff)
    computed = (burn, required, takeoff)
    short = [
        saying("of", what=name, said=words)
        for words, lost, held in zip(SAYS, computed, wanted, strict=True)
        if not lost <= held
    ]
    if short and too_small:
        short.insert(0, saying("of", what=name, said=TOO_SMALL))
    if short:
        return Verdict.NOT_ADEQUATE, tuple(short)
    safe = (cautious.burn.quantity, cautious.required.quantity, cautious.takeoff.quantity)
    doubtful = tuple(
        saying("unusable.cautious_dip_surface_times", name=name, times=DIP_CAUTIOUS, said=words)
        for words, lost, held in zip(SAYS, safe, wanted, strict=True)
        if not lost <= held
    )
    return (Verdict.CANNOT_TELL if doubtful else Verdict.ADEQUATE), doubtful


def _in_draws(
    tank: Tank,
    test_draw: float,
    bands: TankBands | None,
    verdict: Verdict,
    reasons: tuple[Said, ...],
) -> tuple[Verdict, tuple[Said, ...]]:
    """Let the bands speak: less declared than the 95th percentile is no pass.

    Less than the 5th percentile, with the expected dip of the surface, is not adequate.
    """
    if bands is None or tank.unusable is None or tank.least_takeoff is None:
        return verdict, reasons
    wanted = (tank.unusable, tank.unusable + test_draw, tank.least_takeoff)
    words: list[Said] = []
    for says, held, expected, cautious in zip(
        SAYS, wanted, in_order(bands.expected), in_order(bands.cautious), strict=True
    ):
        if expected.low > held:
            verdict = Verdict.NOT_ADEQUATE
        clause = short_in_draws(cautious, held)
        if clause and verdict is Verdict.ADEQUATE:
            verdict = Verdict.CANNOT_TELL
        if clause and not any(_says(reason, says) for reason in reasons):
            words.append(
                saying("unusable.tank_cautious_dip", tank=tank.name, says=says, clause=clause)
            )
    return verdict, (*reasons, *words)


def _says(reason: Said, says: Saying) -> bool:
    """Tell whether a reason says one of ``SAYS``."""
    return isinstance(reason, Saying) and says in dict(reason.values).values()


def _placards(
    figures: tuple[Extreme, Extreme, Extreme], cautious: Cautious, bands: TankBands | None
) -> tuple[float, float]:
    """Give what is enough by every figure, rounded up [m3]: unusable, and least at take-off."""
    burn, required, takeoff = (item.quantity for item in figures)
    unusable = [burn, required, cautious.burn.quantity, cautious.required.quantity]
    start = [takeoff, cautious.takeoff.quantity]
    if bands is not None:
        unusable += [bands.cautious.burn.high, bands.cautious.required.high]
        start.append(bands.cautious.takeoff.high)
    return rounded_up(_most(unusable)), rounded_up(_most([*unusable, *start]))


def _most(quantities: list[float]) -> float:
    """Give the greatest of those that are known; NaN where none is."""
    known = [quantity for quantity in quantities if not math.isnan(quantity)]
    return max(known, default=math.nan)


def rounded_up(quantity: float) -> float:
    """Round a quantity [m3] up to the placard's step; what is not finite stays so."""
    if not math.isfinite(quantity):
        return quantity
    return math.ceil(quantity / PLACARD_STEP - 1e-9) * PLACARD_STEP

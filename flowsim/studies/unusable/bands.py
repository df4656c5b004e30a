"""Bands of a tank's limits from joint draws, and what they mean for the declared figures."""

import math

import numpy as np

from flowsim.physics.air.dips import DIP_CAUTIOUS, DIP_EXPECTED
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.studies.judged.flight_attitudes import FLOWN_SLIP, LEVEL, RUN, TURN
from flowsim.studies.saying import Said, saying
from flowsim.studies.unusable.drawn import HIGH, DrawnTrials, band_of
from flowsim.studies.unusable.result import DipBands, QuantityBand, TankBands
from flowsim.studies.unusable.rows import AIR, BURN, DOUBT, FLOW, REQUIRED
from flowsim.studies.unusable.table import LimitTable
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import Tank

DECIDING = (LEVEL, TURN)
"""Attitudes whose limits decide on the declared figures."""


def tank_bands(table: LimitTable, drawn: DrawnTrials, index: int, tank: Tank) -> TankBands:
    """Work out the bands of one tank.

    Parameters
    ----------
    table : LimitTable
        Limits on nominal values.
    drawn : DrawnTrials
        Its trials, in draws.
    index : int
        Of the tank.
    tank : Tank

    Returns
    -------
    TankBands
        Of the largest limits in the judged positions, wings level and in turns, for the take-off
        fuel in the take-off run too.
    """
    return TankBands(
        expected=_dip_bands(table, drawn, index, tank, (DIP_EXPECTED, AIR)),
        cautious=_dip_bands(table, drawn, index, tank, (DIP_CAUTIOUS, DOUBT)),
    )


def _dip_bands(
    table: LimitTable, drawn: DrawnTrials, index: int, tank: Tank, dip: tuple[float, int]
) -> DipBands:
    times, air = dip
    test_draw = table.assembly.system.test_draw
    unusable = math.nan if tank.unusable is None else tank.unusable
    takeoff = math.nan if tank.least_takeoff is None else tank.least_takeoff

    def limits(chosen: BoolArray) -> FloatArray | None:
        return limits_in_draws(table, drawn, chosen, air)

    burn = limits(table.choose(index, BURN, DECIDING, times=times))
    required = limits(table.choose(index, REQUIRED, DECIDING, times=times))
    run = limits(table.choose(index, BURN, (RUN,), times=times))
    slips = limits(table.choose(index, BURN, (FLOWN_SLIP,), times=times))
    # The required flow is asked for while climbing alone, so its rows are those of the take-off.
    start = run if required is None else required if run is None else np.maximum(required, run)
    return DipBands(
        burn=band_of(burn, unusable),
        required=band_of(required, unusable + test_draw),
        takeoff=band_of(start, takeoff),
        flown_slip=None
        if slips is None
        else band_of(slips, slip_fuel(table.assembly.system, tank)),
    )


def limits_in_draws(
    table: LimitTable, drawn: DrawnTrials, chosen: BoolArray, air: int
) -> FloatArray | None:
    """Give the largest limit of some rows, for flow and air, in every draw.

    Parameters
    ----------
    table : LimitTable
    drawn : DrawnTrials
        Of the same trials.
    chosen : BoolArray (row,)
    air : int
        Which of the criteria on air counts.

    Returns
    -------
    FloatArray (draw,) or None
        [m3]; None where no row is chosen.
    """
    rows = np.flatnonzero(chosen)
    if not len(rows):
        return None
    nominal = table.limit[np.ix_(rows, np.array([FLOW, air]))].max(axis=1)
    return drawn.largest(rows, nominal, (FLOW, air))


def slip_fuel(system: FuelSystem, tank: Tank) -> float:
    """Give the fuel with which slips are flown [m3]: the declared unusable fuel if not stated."""
    stated = system.routing.slip_fuel
    return (tank.unusable or 0.0) if stated is None else stated


def in_order(bands: DipBands) -> tuple[QuantityBand, QuantityBand, QuantityBand]:
    """Give the bands in the order of the figures: burn, required flow, take-off."""
    return bands.burn, bands.required, bands.takeoff


def short_in_draws(band: QuantityBand, held: float) -> Said:
    """Say in how many draws a quantity is not enough; empty where it is in 95 % of them.

    Parameters
    ----------
    band : QuantityBand
    held : float
        [m3] What is declared.

    Returns
    -------
    Said
        A clause to follow what is lost.
    """
    if band.failed:
        return saying("unusable.no_result_solve_failed", failed=band.failed, draws=band.draws)
    if band.high <= held:
        return ""
    share = math.floor(100.0 * (1.0 - band.enough) + 0.5)
    return saying("unusable.joint_draws_allowed", share=share, draws=band.draws, high=1.0 - HIGH)

"""Where the fuel surface stands, whatever way the tank is described."""

from itertools import pairwise

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray
from flowsim.physics.tank.floor import stick_direction, tilted_surface
from flowsim.physics.tank.solids import capacity
from flowsim.physics.tank.surface_table import surface_elevation_again
from flowsim.physics.tank.volume import volume_below
from flowsim.system.points import Point
from flowsim.system.tanks import DipTable, Solid, StatedLevel, TankShape

_HALVINGS = 40
DIP_TABLE_NOTE = (
    "dip table: in other attitudes than the one dipped the surface is taken to turn about the "
    "dip stick (assumption)"
)
FLOOR_NOTE = (
    "dip table: in other attitudes than the one dipped the surface is taken to lie as in a box of "
    "the stated floor, its middle within a tenth of length and width (assumption)"
)
STATED_LEVEL_NOTE = "stated level: the surface stays at the stated point, whatever is drawn"


def surface_elevation_of(shape: TankShape, gravity: FloatArray, quantity: FloatArray) -> FloatArray:
    """Give the elevation of the fuel surface of a tank of any description.

    Parameters
    ----------
    shape : TankShape
        Solid, dip table or stated level.
    gravity : FloatArray (scenario, 3)
        Effective gravity over g0 in (aft, right, up) [-].
    quantity : FloatArray (scenario,)
        Fuel in the tank [m3]; not used for a stated level.

    Returns
    -------
    FloatArray (scenario,)
        Elevation -(gravity . r) of the surface [m]; NaN where the quantity is outside the tank or
        the dip table, or gravity is zero or NaN.

    Raises
    ------
    DomainError
        The solid is not a proper body, or the dip table is not fit for use.

    Notes
    -----
    Between the rows of a dip table the height is interpolated linearly. With a floor the surface
    lies as in a box of that floor (``tank_floor``); without one it is taken to pass through the
    point where it stands on the stick in the attitude dipped: exact there, an assumption elsewhere
    (``surface_notes``).

    Examples
    --------
    Half full a box of 1 x 2 x 3 m stands at 1.5 m; a table of dips is read between its rows.

    >>> from flowsim.physics.tank.solids import box
    >>> level = np.array([[0.0, 0.0, -1.0]])
    >>> solid = box(Point(0.0, 0.0, 0.0), Point(1.0, 2.0, 3.0))
    >>> surface_elevation_of(solid, level, np.array([3.0])).round(9).tolist()
    [1.5]
    >>> table = DipTable(
    ...     at=Point(0.0, 0.0, 1.0),
    ...     dips=(0.0, 0.1, 0.2),
    ...     quantities=(0.0, 0.01, 0.03),
    ...     pitch=0.0,
    ...     roll=0.0,
    ... )
    >>> surface_elevation_of(table, level, np.array([0.02])).round(9).tolist()
    [1.15]
    """
    pull = np.atleast_2d(np.asarray(gravity, dtype=np.float64))
    if isinstance(shape, Solid):
        return surface_elevation_again(shape, pull, quantity)
    if isinstance(shape, StatedLevel):
        return _elevation(pull, np.array(shape.surface))
    _check_table(shape)
    amount = np.asarray(quantity, dtype=np.float64)
    dip = _inside_rows(amount, shape.quantities, shape.dips)
    if shape.floor is not None:
        height = float(stick_direction(shape) @ np.array(shape.at)) + dip
        return tilted_surface(shape, pull, height, amount)
    foot = _elevation(pull, np.array(shape.at))
    return foot + dip * _elevation(pull, stick_direction(shape))


def quantity_below(shape: TankShape, gravity: FloatArray, surface: FloatArray) -> FloatArray:
    """Give the quantity in a tank whose surface stands at an elevation.

    Parameters
    ----------
    shape : TankShape
        Solid, dip table or stated level.
    gravity : FloatArray (scenario, 3)
        Effective gravity over g0 in (aft, right, up) [-].
    surface : FloatArray (scenario,)
        Elevation -(gravity . r) of the surface [m].

    Returns
    -------
    FloatArray (scenario,)
        Quantity [m3]. For a solid 0 below and the capacity above it; for a dip table NaN outside
        its rows and where the stick does not point upward; NaN for a stated level, which has no
        quantity.

    Raises
    ------
    DomainError
        The solid is not a proper body, or the dip table is not fit for use.

    Examples
    --------
    The other way round of the example of ``surface_elevation_of``.

    >>> from flowsim.physics.tank.solids import box
    >>> solid = box(Point(0.0, 0.0, 0.0), Point(1.0, 2.0, 3.0))
    >>> quantity_below(solid, np.array([[0.0, 0.0, -1.0]]), np.array([1.5])).round(9).tolist()
    [3.0]
    """
    pull = np.atleast_2d(np.asarray(gravity, dtype=np.float64))
    level = np.asarray(surface, dtype=np.float64)
    if isinstance(shape, Solid):
        return volume_below(shape, pull, level)
    foot = _elevation(pull, np.zeros(3))
    if isinstance(shape, StatedLevel):
        return np.full(np.broadcast_shapes(foot.shape, level.shape), np.nan)
    _check_table(shape)
    if shape.floor is not None:
        return _searched(shape, pull, level)
    foot = _elevation(pull, np.array(shape.at))
    rise = _elevation(pull, stick_direction(shape))
    dip = (level - foot) / np.where(rise > 0.0, rise, np.nan)
    return _inside_rows(dip, shape.dips, shape.quantities)


def capacity_of(shape: TankShape) -> float | None:
    """Give the most fuel that the description of a tank covers.

    Parameters
    ----------
    shape : TankShape
        Solid, dip table or stated level.

    Returns
    -------
    float or None
        Capacity [m3] of a solid, last quantity of a dip table, None for a stated level.

    Raises
    ------
    DomainError
        The solid is not a proper body, or the dip table is not fit for use.

    Examples
    --------
    >>> from flowsim.physics.tank.solids import box
    >>> capacity_of(box(Point(0.0, 0.0, 0.0), Point(1.0, 2.0, 3.0)))
    6.0
    >>> capacity_of(StatedLevel(surface=Point(0.0, 0.0, 1.0))) is None
    True
    """
    if isinstance(shape, Solid):
        return capacity(shape)
    if isinstance(shape, StatedLevel):
        return None
    _check_table(shape)
    return shape.quantities[-1]


def surface_notes(shape: TankShape) -> tuple[str, ...]:
    """Give the assumptions behind the surface of a tank, to be shown with every result.

    Parameters
    ----------
    shape : TankShape
        Solid, dip table or stated level.

    Returns
    -------
    tuple of str
        Plain sentences; empty for a solid, which is exact in any attitude.
    """
    if isinstance(shape, DipTable):
        return (DIP_TABLE_NOTE if shape.floor is None else FLOOR_NOTE,)
    if isinstance(shape, StatedLevel):
        return (STATED_LEVEL_NOTE,)
    return ()


def _elevation(pull: FloatArray, at: FloatArray) -> FloatArray:
    """Give -(gravity . r) [m] (scenario,); NaN without gravity, when nothing is up."""
    there = np.any(pull != 0.0, axis=1)
    return np.where(there, -(pull @ at), np.nan)


def _searched(table: DipTable, pull: FloatArray, level: FloatArray) -> FloatArray:
    """Search the quantity whose surface stands at ``level``; NaN where none of the table's does."""
    (count,) = np.broadcast_shapes(pull.shape[:1], level.shape)
    gravity, wanted = np.broadcast_to(pull, (count, 3)), np.broadcast_to(level, (count,))
    ends = [
        surface_elevation_of(table, gravity, np.full(count, held))
        for held in (table.quantities[0], table.quantities[-1])
    ]
    slack = 1e-9 * (table.dips[-1] - table.dips[0])
    found = np.full(count, np.nan)
    rows = np.flatnonzero((wanted >= ends[0] - slack) & (wanted <= ends[1] + slack))
    low = np.full(len(rows), table.quantities[0])
    high = np.full(len(rows), table.quantities[-1])
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        below = surface_elevation_of(table, gravity[rows], middle) < wanted[rows]
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    found[rows] = 0.5 * (low + high)
    return found


def _inside_rows(
    value: FloatArray, rows: tuple[float, ...], results: tuple[float, ...]
) -> FloatArray:
    """Interpolate linearly; NaN outside the rows by more than rounding (1e-9 of their span)."""
    slack = 1e-9 * (rows[-1] - rows[0])
    covered = (value >= rows[0] - slack) & (value <= rows[-1] + slack)
    return np.where(covered, np.interp(value, rows, results), np.nan)


def _check_table(table: DipTable) -> None:
    """Refuse a dip table that cannot be read in both directions."""
    if len(table.dips) != len(table.quantities) or len(table.dips) < 2:
        raise DomainError("a dip table needs at least two rows, each with a dip and a quantity")
    numbers = (*table.dips, *table.quantities, *Point(*table.at), table.pitch, table.roll)
    if not np.all(np.isfinite(numbers)):
        raise DomainError("a dip table holds something that is not a number")
    for words, row in (("dips", table.dips), ("quantities", table.quantities)):
        if any(second <= first for first, second in pairwise(row)):
            raise DomainError(f"the {words} of a dip table must rise from row to row")
    if table.quantities[0] < 0.0:
        raise DomainError("a quantity in a dip table is below zero; write zero or more")

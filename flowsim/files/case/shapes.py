"""The shape of a tank: a solid of points, a dip table, or a stated level."""

import math
from collections.abc import Callable
from itertools import pairwise

from flowsim.errors import DomainError
from flowsim.files.case.fuel import split_message
from flowsim.files.case.given import GivenPoint
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models_tanks import TankSection
from flowsim.files.case.places import is_readable, point_of
from flowsim.files.case.validate import example
from flowsim.files.toml.lines import KeyPath
from flowsim.measures import LENGTH
from flowsim.physics.tank import solids
from flowsim.system.points import Point
from flowsim.system.tanks import DipTable, Floor, Solid, StatedLevel, TankShape

_KEYS: dict[str, tuple[str, ...]] = {
    "box": ("corners",),
    "lofted": ("root", "tip"),
    "cells": ("cells",),
    "dips": ("dip_at", "dip_pitch", "dips"),
    "level": ("surface_at",),
}
_SOLID_ONLY = ("fill_factor",)
_FLOOR = ("floor_length", "floor_width", "floor_at")
_DIPS_ONLY = ("dip_roll", *_FLOOR)
_ON_SKIN = 0.002  # [m] how far a point may lie outside the floor
_LARGEST_MISFIT = 0.2  # [-] between length x width and the area that the dips show
_NOT_LEVEL = ("capacity", "unusable", "least_takeoff")
_MOST_CELLS = 100
_LEAST_RISE = 1e-4  # [m] between rows of a dip table
_LEAST_MORE = 1e-8  # [m3] between rows of a dip table


def build_shape(section: TankSection, path: KeyPath, ledger: Ledger) -> TankShape | None:
    """Build the shape of a tank.

    Parameters
    ----------
    section
        ``[[tank]]`` of the file.
    path
        Its path.
    ledger
        Receives mistakes and defaults.

    Returns
    -------
    TankShape or None
        None where a mistake prevents it.
    """
    if section.shape not in _KEYS or not _keys_fit(section, path, ledger):
        return None
    if section.shape == "level":
        return (
            None
            if section.surface_at is None
            else StatedLevel(surface=point_of(section.surface_at))
        )
    if section.shape == "dips":
        return _dip_table(section, path, ledger)
    return _solid(section, path, ledger)


def full_quantity(shape: TankShape) -> float:
    """Give the quantity [m3] that fills a tank, NaN for a stated level.

    Parameters
    ----------
    shape
        The tank's shape.

    Returns
    -------
    float
        [m3].
    """
    if isinstance(shape, Solid):
        return solids.capacity(shape)
    return shape.quantities[-1] if isinstance(shape, DipTable) else math.nan


def _keys_fit(section: TankSection, path: KeyPath, ledger: Ledger) -> bool:
    """Check that the keys are those of the stated shape."""
    own = _KEYS[section.shape]
    fits = True
    for key in own:
        if key not in section.model_fields_set:
            remedy = f"write {example(TankSection, key)}"
            ledger.mistake((*path, key), f'is missing for shape "{section.shape}"', remedy)
            fits = False
    others = {key for keys in _KEYS.values() for key in keys} - set(own)
    others |= set(_DIPS_ONLY) if section.shape != "dips" else set()
    others |= set(_SOLID_ONLY) if section.shape in ("dips", "level") else set()
    others |= set(_NOT_LEVEL) if section.shape == "level" else {"volume"}
    for key in sorted(others & section.model_fields_set):
        problem = f'is not used by shape "{section.shape}"'
        ledger.mistake((*path, key), problem, "delete it or correct the shape")
        fits = False
    return fits


def _solid(section: TankSection, path: KeyPath, ledger: Ledger) -> Solid | None:
    fill = 1.0 if section.fill_factor is None else section.fill_factor.value
    if section.fill_factor is None:
        ledger.default((*path, "fill_factor"), "1", "nothing in the tank takes up room")
    groups = _point_groups(section)
    if math.isnan(fill) or not all(is_readable(p) for points in groups for p in points):
        return None
    if not groups or any(ledger.is_reported((*path, key)) for key in _KEYS[section.shape]):
        return None
    key = _KEYS[section.shape][0]
    if section.shape == "box" and len(groups[0]) != 2:
        problem = f"a box has two opposite corners, not {len(groups[0])}"
        ledger.mistake((*path, key), problem, f"write {example(TankSection, key)}")
        return None
    if sum(len(points) for points in groups) > 1000 or len(groups) > _MOST_CELLS:
        ledger.mistake((*path, key), "there are too many points", "give at most 100 cells")
        return None
    try:
        return _BUILDERS[section.shape](groups, fill)
    except DomainError as error:
        ledger.mistake((*path, key), *split_message(error))
    return None


def _point_groups(section: TankSection) -> list[list[Point]]:
    """Give the points of a solid's shape, section by section or cell by cell."""
    if section.shape == "cells":
        return [[point_of(given) for given in cell] for cell in section.cells or ()]
    lists: list[tuple[GivenPoint, ...] | None] = (
        [section.corners] if section.shape == "box" else [section.root, section.tip]
    )
    return [[point_of(given) for given in points or ()] for points in lists]


def _box(groups: list[list[Point]], fill: float) -> Solid:
    first, second = groups[0]
    low = Point(*(min(a, b) for a, b in zip(first, second, strict=True)))
    high = Point(*(max(a, b) for a, b in zip(first, second, strict=True)))
    for name, least, most in zip(Point._fields, low, high, strict=True):
        if least == most:
            raise DomainError(f"both corners have the same {name}; give opposite corners")
    return solids.box(low, high, fill)


_BUILDERS: dict[str, Callable[[list[list[Point]], float], Solid]] = {
    "box": _box,
    "lofted": lambda groups, fill: solids.lofted(groups[0], groups[1], fill),
    "cells": solids.cells,
}


def _dip_table(section: TankSection, path: KeyPath, ledger: Ledger) -> DipTable | None:
    """Build a dip table, which must rise."""
    rows = section.dips or ()
    dips = tuple(row.dip.value for row in rows)
    quantities = tuple(row.quantity.value for row in rows)
    if section.dip_roll is None:
        ledger.default((*path, "dip_roll"), "0 deg", "wings level at the dips")
    if len(rows) < 2:
        if not ledger.is_reported((*path, "dips")):
            problem = "a dip table needs two rows or more"
            ledger.mistake((*path, "dips"), problem, f"write {example(TankSection, 'dips')}")
        return None
    for index in range(1, len(rows)):
        rise = dips[index] - dips[index - 1]
        more = quantities[index] - quantities[index - 1]
        if rise < _LEAST_RISE or more < _LEAST_MORE:
            ledger.mistake(
                (*path, "dips", index),
                "dip and quantity do not both rise from row to row",
                "write the rows in rising order",
            )
            return None
    floor, fits = _floor(section, path, ledger)
    if section.dip_at is None or section.dip_pitch is None or not fits:
        return None
    table = DipTable(
        at=point_of(section.dip_at),
        dips=dips,
        quantities=quantities,
        pitch=section.dip_pitch.value,
        roll=0.0 if section.dip_roll is None else section.dip_roll.value,
        floor=floor,
    )
    _check_area(table, path, ledger)
    return table


def _floor(section: TankSection, path: KeyPath, ledger: Ledger) -> tuple[Floor | None, bool]:
    """Build the floor of a tank known by dips; the second answer is False after a mistake."""
    given = [key for key in _FLOOR if key in section.model_fields_set]
    if not given:
        return None, True
    fits = True
    for key in _FLOOR:
        if key not in given:
            remedy = f"write {example(TankSection, key)}, or none of the floor keys"
            ledger.mistake((*path, key), f"is missing beside {given[0]}", remedy)
            fits = False
    if not fits or section.floor_length is None or section.floor_width is None:
        return None, False
    if section.floor_at is None:
        return None, False
    floor = Floor(
        length=section.floor_length.value,
        width=section.floor_width.value,
        centre=point_of(section.floor_at),
    )
    if not is_readable(floor.centre) or math.isnan(floor.length) or math.isnan(floor.width):
        return None, False
    points: list[tuple[KeyPath, GivenPoint | None]] = [((*path, "dip_at"), section.dip_at)]
    points += [
        ((*path, "outlet", number, "at"), outlet.at) for number, outlet in enumerate(section.outlet)
    ]
    for at, point in points:
        fits = _on_floor(floor, point, at, ledger) and fits
    return floor, fits


def _on_floor(floor: Floor, given: GivenPoint | None, path: KeyPath, ledger: Ledger) -> bool:
    """Check that a point lies over the floor."""
    if given is None:
        return True
    point = point_of(given)
    off = (
        abs(point.station - floor.centre.station) - 0.5 * floor.length,
        abs(point.buttline - floor.centre.buttline) - 0.5 * floor.width,
    )
    if not is_readable(point) or max(off) <= _ON_SKIN:
        return True
    ledger.mistake(
        path,
        f"the point is {LENGTH.words(max(off), 0)} outside the tank's floor",
        "correct the point, floor_at, floor_length or floor_width",
    )
    return False


def _check_area(table: DipTable, path: KeyPath, ledger: Ledger) -> None:
    """Compare length and width with the area that the dips show."""
    if table.floor is None:
        return
    rows = zip(pairwise(table.quantities), pairwise(table.dips), strict=True)
    shown = max((more - less) / (high - low) for (less, more), (low, high) in rows)
    shown *= math.cos(table.pitch) * math.cos(table.roll)
    stated = table.floor.length * table.floor.width
    misfit = stated / shown - 1.0
    if abs(misfit) > _LARGEST_MISFIT:
        ledger.caution(
            path,
            f"length times width of its floor is {stated:.3g} m2, its dips show at most "
            f"{shown:.3g} m2 ({100.0 * misfit:+.0f} %): its surface does not tilt as in a box of "
            "that floor; measure again, or describe the tank by points",
        )

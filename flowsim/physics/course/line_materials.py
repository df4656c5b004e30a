"""What tube and hose are made of, and the handbook's least bends and largest spans by size.

Sizes between those of a table take the next one on the cautious side; that is said with the value.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from flowsim.physics.course.tube_sizes import (
    HOSE_BEND_RADIUS,
    HOSE_BORE,
    HOSE_SUPPORT_DISTANCE,
    TUBE_BEND_RADIUS,
    TUBE_SUPPORT_DISTANCE,
    dash_outside_diameter,
)

FITTING_SPAN_SHARE = 0.8
"""[-] Span that is left where the tube carries a fitting: about 20 % less (MIL-H-8891A, 3.11.4).
Tag: published (read)."""

ASSUMED_HOSE_WALL = 0.003
"""[m] Wall of a hose of unknown outside diameter (common practice, no source)."""

_NEAR = 1.5e-4  # m: so near a size counts as that size


@dataclass(frozen=True, slots=True)
class WallMaterial:
    """A wall: ``density`` [kg/m3], ``modulus`` of elasticity [Pa] (None: unknown), ``is_soft``.

    ``table`` names its rows in the handbook tables of rigid tube; None where there are none.
    """

    name: str
    density: float
    modulus: float | None
    is_soft: bool
    table: str | None
    source: str


_MEMORY = "handbook values from memory"
MATERIALS: Mapping[str, WallMaterial] = MappingProxyType(
    {
        "aluminium": WallMaterial("aluminium", 2700.0, 69e9, False, "aluminium", _MEMORY),
        "steel": WallMaterial("steel", 7850.0, 200e9, False, "steel", _MEMORY),
        "copper": WallMaterial("copper", 8940.0, 117e9, False, None, _MEMORY),
        "brass": WallMaterial("brass", 8500.0, 100e9, False, None, _MEMORY),
        "plastic": WallMaterial(
            "plastic", 1150.0, 0.3e9, True, None,
            "density of nylon, modulus at the soft end of flexible nylon tube (from memory); "
            "softer plastics sag more",
        ),
        "hose": WallMaterial(
            "hose", 1300.0, None, True, None,
            "density of rubber with braid (estimate); no stiffness without a measured sag",
        ),
    }
)  # fmt: skip
"""Materials by the word that names them. Tag: from memory (hose: estimate)."""


@dataclass(frozen=True, slots=True)
class TableValue:
    """A value [m] from a handbook table; ``exact`` is False where the next size was taken."""

    value: float
    exact: bool
    source: str


def wall_material(name: str) -> WallMaterial | None:
    """Give the wall material that a line's words name, None where none is known.

    Parameters
    ----------
    name : str
        Such as "aluminium tube", "plastic-lined hose", "stainless steel tube".

    Returns
    -------
    WallMaterial or None
        A hose is a hose, whatever its lining.
    """
    words = (
        name.lower().replace("aluminum", "aluminium").replace("-", " ").replace(",", " ").split()
    )
    if "hose" in words:
        return MATERIALS["hose"]
    soft = {"nylon", "polyurethane", "ptfe", "vinyl", "pvc", "polyethylene"}
    if soft & set(words):
        return MATERIALS["plastic"]
    return next((MATERIALS[word] for word in words if word in MATERIALS), None)


def least_bend_radius(
    material: WallMaterial | None, outside_diameter: float | None, bore: float
) -> TableValue | None:
    """Give the least bend radius to the centre-line, None where no table has it.

    Parameters
    ----------
    material : WallMaterial or None
    outside_diameter : float or None
        [m]
    bore : float
        [m]

    Returns
    -------
    TableValue or None
        Between sizes that of the next larger one.

    References
    ----------
    AC 43.13-1B tables 9-2 (tube, from memory) and 9-3 (hose to MIL-H-8794, read).
    """
    if material is MATERIALS["hose"]:
        bores = HOSE_BORE["MIL-H-8794"]
        rows = {bores[dash]: radius for dash, radius in HOSE_BEND_RADIUS.items()}
        return _next_larger(rows, bore, "AC 43.13-1B table 9-3, hose to MIL-H-8794 (read)")
    if material is None or material.table is None or outside_diameter is None:
        return None
    rows = _by_diameter(TUBE_BEND_RADIUS[material.table])
    return _next_larger(rows, outside_diameter, "AC 43.13-1B table 9-2 (from memory)")


def largest_span(
    material: WallMaterial | None, outside_diameter: float | None
) -> TableValue | None:
    """Give the largest distance between supports, None where no table has it.

    Parameters
    ----------
    material : WallMaterial or None
    outside_diameter : float or None
        [m]

    Returns
    -------
    TableValue or None
        Between sizes that of the next smaller one; below the smallest, None.

    References
    ----------
    Hose: AC 43.13-1B, at least every 24 in (read). Tube: aluminium by a mechanic's handbook table
    (from memory), steel by MIL-H-8891A, table II (read).
    """
    if material is MATERIALS["hose"]:
        return TableValue(HOSE_SUPPORT_DISTANCE, True, "AC 43.13-1B, hose every 24 in (read)")
    if material is None or material.table is None or outside_diameter is None:
        return None
    rows = _by_diameter(TUBE_SUPPORT_DISTANCE[material.table])
    source = (
        "mechanic's handbook table, aluminium (from memory)"
        if material.table == "aluminium"
        else "MIL-H-8891A table II, steel (read)"
    )
    fitting = [size for size in rows if size <= outside_diameter + _NEAR]
    if not fitting:
        return None
    size = max(fitting)
    return TableValue(rows[size], outside_diameter - size <= _NEAR, source)


def _by_diameter(rows: Mapping[int, float]) -> dict[float, float]:
    return {dash_outside_diameter(dash): value for dash, value in rows.items()}


def _next_larger(rows: Mapping[float, float], size: float, source: str) -> TableValue | None:
    fitting = [row for row in rows if row >= size - _NEAR]
    if not fitting:
        return None
    row = min(fitting)
    return TableValue(rows[row], row - size <= _NEAR, source)

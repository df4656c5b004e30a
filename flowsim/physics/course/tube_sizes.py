"""Sizes of tube, hose and flared fittings, with the support and bend rules that go with them.

A dash number is the outside diameter of tube in sixteenths of an inch. It is not a bore: the bore
of tube depends on its wall, and the bore of hose on its specification.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from flowsim.errors import DomainError
from flowsim.physics.checks import require_positive

INCH = 0.0254
"""[m] One inch; exact by definition (1959)."""


@dataclass(frozen=True, slots=True)
class TubeSize:
    """A tube of the trade: ``outside_diameter`` and ``wall`` [m]; ``dash`` None for metric tube."""

    name: str
    outside_diameter: float
    wall: float
    dash: int | None

    @property
    def bore(self) -> float:
        """Give the inside diameter [m]."""
        return self.outside_diameter - 2.0 * self.wall


def _inch_tube(name: str, dash: int, wall: float) -> TubeSize:
    """Make an inch tube from its dash number and its wall [in]."""
    return TubeSize(f"{name} x {wall:.3f} in", dash * INCH / 16.0, wall * INCH, dash)


def _metric_tube(outside_diameter: int) -> TubeSize:
    """Make a metric tube of 1 mm wall from its outside diameter [mm]."""
    return TubeSize(f"{outside_diameter} x 1 mm", 1e-3 * outside_diameter, 1e-3, None)


TUBES: tuple[TubeSize, ...] = (
    _inch_tube("1/4", 4, 0.035),
    _inch_tube("5/16", 5, 0.035),
    _inch_tube("3/8", 6, 0.035),
    _inch_tube("3/8", 6, 0.049),
    _inch_tube("1/2", 8, 0.035),
    _inch_tube("1/2", 8, 0.049),
    *(_metric_tube(size) for size in (6, 8, 10, 12)),
)
"""Tube commonly used for fuel lines (common practice; the metric walls too)."""

FLARED_FITTING_BORE: Mapping[int, float] = MappingProxyType(
    {4: 0.172 * INCH, 5: 0.234 * INCH, 6: 0.297 * INCH, 8: 0.391 * INCH}
)
"""[m] Bore through 37 degree flared fittings by dash number (AN929 dimension table, read)."""

HOSE_BORE: Mapping[str, Mapping[int, float]] = MappingProxyType(
    {
        "MIL-H-8794": MappingProxyType(
            {
                3: INCH / 8,
                4: INCH * 3 / 16,
                5: INCH / 4,
                6: INCH * 5 / 16,
                8: INCH * 13 / 32,
                10: INCH / 2,
                12: INCH * 5 / 8,
                16: INCH * 7 / 8,
            }
        ),
        "MIL-H-8788": MappingProxyType(
            {
                4: INCH * 7 / 32,
                5: INCH * 9 / 32,
                6: INCH * 11 / 32,
                8: INCH * 7 / 16,
                10: INCH * 9 / 16,
            }
        ),
    }
)
"""[m] Hose bore by specification and dash number (AC 43.13-1B, table 9-3, read)."""

HOSE_BEND_RADIUS: Mapping[int, float] = MappingProxyType(
    {4: 3.0 * INCH, 5: 3.38 * INCH, 6: 4.0 * INCH, 8: 4.63 * INCH, 10: 5.5 * INCH}
)
"""[m] Least bend radius of MIL-H-8794 hose by dash number (AC 43.13-1B, table 9-3, read)."""

ALUMINIUM_BEND_RADIUS: Mapping[int, float] = MappingProxyType(
    {4: INCH * 9 / 16, 5: INCH * 3 / 4, 6: INCH * 15 / 16, 8: INCH * 5 / 4}
)
"""[m] Least bend radius of aluminium tube to the centre-line by dash number (AC 43.13-1B, table
9-2). Tag: from memory."""

STEEL_BEND_RADIUS: Mapping[int, float] = MappingProxyType(
    {4: INCH * 7 / 8, 5: INCH * 9 / 8, 6: INCH * 21 / 16, 8: INCH * 7 / 4}
)
"""[m] Least bend radius of steel tube to the centre-line by dash number (AC 43.13-1B, table 9-2).
Tag: from memory."""

TUBE_BEND_RADIUS: Mapping[str, Mapping[int, float]] = MappingProxyType(
    {"aluminium": ALUMINIUM_BEND_RADIUS, "steel": STEEL_BEND_RADIUS}
)
"""[m] Both tables of bend radii by material; each has its own tag."""

ALUMINIUM_SUPPORT_DISTANCE: Mapping[int, float] = MappingProxyType(
    {4: INCH * 13.5, 5: INCH * 15, 6: INCH * 16.5, 8: INCH * 19}
)
"""[m] Largest distance between supports of aluminium tube by dash number (a mechanic's handbook
table). Tag: from memory."""

STEEL_SUPPORT_DISTANCE: Mapping[int, float] = MappingProxyType(
    {4: INCH * 16, 5: INCH * 18, 6: INCH * 20, 8: INCH * 23}
)
"""[m] Largest distance between supports of steel tube by dash number (MIL-H-8891A, table II).
Tag: published (read)."""

TUBE_SUPPORT_DISTANCE: Mapping[str, Mapping[int, float]] = MappingProxyType(
    {"aluminium": ALUMINIUM_SUPPORT_DISTANCE, "steel": STEEL_SUPPORT_DISTANCE}
)
"""[m] Both tables of support distances by material; each has its own tag."""

HOSE_SUPPORT_DISTANCE = 24.0 * INCH
"""[m] Largest distance between supports of hose; closer is preferred (AC 43.13-1B, read)."""

LEAST_BENT_DIAMETER = 0.75
"""[-] Smallest diameter of a flattened bend over the outside diameter (AC 43.13-1B, read)."""


def tube_bore(outside_diameter: float, wall: float) -> float:
    """Give the bore of a tube.

    Parameters
    ----------
    outside_diameter : float
        Outside diameter [m], > 0.
    wall : float
        Wall thickness [m], > 0, below half the outside diameter.

    Returns
    -------
    float
        Bore [m].

    Raises
    ------
    DomainError
        When a size is not positive or the wall leaves no bore.

    References
    ----------
    Geometry.

    Examples
    --------
    A 3/8 in tube of 0.035 in wall: 0.375 - 0.070 = 0.305 in.

    >>> round(tube_bore(0.375 * INCH, 0.035 * INCH) / INCH, 9)
    0.305
    """
    require_positive("tube", "outside diameter [m]", outside_diameter)
    require_positive("tube", "wall [m]", wall)
    bore = outside_diameter - 2.0 * wall
    if not bore > 0.0:
        raise DomainError(
            f"a wall of {1e3 * wall:g} mm leaves no bore in a tube of {1e3 * outside_diameter:g} mm"
        )
    return bore


def dash_outside_diameter(dash: int) -> float:
    """Give the outside diameter of tube for a dash number.

    Parameters
    ----------
    dash : int
        Dash number, > 0.

    Returns
    -------
    float
        Outside diameter [m].

    Raises
    ------
    DomainError
        When the number is not positive.

    References
    ----------
    Sixteenths of an inch (common practice of the trade).

    Examples
    --------
    -6 is 6/16 in, 9.525 mm.

    >>> round(dash_outside_diameter(6), 6)
    0.009525
    """
    if dash < 1:
        raise DomainError(f"dash number {dash} must be at least 1")
    return dash * INCH / 16.0


def flared_fitting_bore(dash: int) -> float:
    """Give the bore through a flared fitting.

    Parameters
    ----------
    dash : int
        Dash number.

    Returns
    -------
    float
        Bore [m].

    Raises
    ------
    DomainError
        For a dash number that is not in the table: measure the bore.

    References
    ----------
    See ``FLARED_FITTING_BORE``.

    Examples
    --------
    AN929's table: 0.297 in through a -6.

    >>> round(flared_fitting_bore(6) / INCH, 9)
    0.297
    """
    return _looked_up(FLARED_FITTING_BORE, dash, "flared fitting")


def hose_bore(specification: str, dash: int) -> float:
    """Give the bore of hose by its specification; a dash number alone does not tell.

    Parameters
    ----------
    specification : str
        Military specification, a name of ``HOSE_BORE``.
    dash : int
        Dash number.

    Returns
    -------
    float
        Bore [m].

    Raises
    ------
    DomainError
        For an unknown specification or dash number: measure the bore.

    References
    ----------
    See ``HOSE_BORE``.

    Examples
    --------
    AC 43.13-1B, table 9-3: a -8 of MIL-H-8794 is 13/32 in inside, of MIL-H-8788 7/16 in.

    >>> round(hose_bore("MIL-H-8794", 8) / INCH * 32), round(hose_bore("MIL-H-8788", 8) / INCH * 16)
    (13, 7)
    """
    if specification not in HOSE_BORE:
        known = ", ".join(HOSE_BORE)
        raise DomainError(
            f'hose "{specification}" is not in the table ({known}); the same dash number has '
            "different bores, so measure the bore"
        )
    return _looked_up(HOSE_BORE[specification], dash, f"{specification} hose")


def _looked_up(table: Mapping[int, float], dash: int, what: str) -> float:
    """Give a table's value, or say that it must be measured."""
    if dash not in table:
        known = ", ".join(f"-{number}" for number in table)
        raise DomainError(f"{what} -{dash} is not in the table ({known}); measure the bore")
    return table[dash]

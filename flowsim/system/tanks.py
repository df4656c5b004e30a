"""Tanks: their shape, and the points on them."""

from dataclasses import dataclass
from typing import Literal

from flowsim.system.parts import MinorLoss, Screen
from flowsim.system.points import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Solid:
    """A tank known by its inside surface: closed triangles, outward normals.

    ``corners`` are the points [m]; ``triangles`` index into them, anticlockwise seen from outside.
    A box, a lofted bay and cells all become this. ``fill_factor`` (0-1] is the share of the solid
    that fuel can take (1 less baffles and structure).
    """

    corners: tuple[Point, ...]
    triangles: tuple[tuple[int, int, int], ...]
    fill_factor: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Floor:
    """The floor of a tank known by dips: ``length`` fore and aft, ``width`` [m], its ``centre``.

    ``end`` is the end of the band of its tilted surface that is taken: 1 the lower, -1 the upper.
    """

    length: float
    width: float
    centre: Point
    end: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DipTable:
    """A tank known by a measured dip table.

    ``dips`` [m] are heights of the surface above the lowest dip point ``at``, both rows rising,
    measured at ``pitch`` and ``roll`` [rad]; ``quantities`` [m3]. With a ``floor`` the surface lies
    in another attitude as in a box of that floor; without one it is taken to turn about the point
    on the stick where it stands, and nothing is claimed of what is covered there.
    """

    at: Point
    dips: tuple[float, ...]
    quantities: tuple[float, ...]
    pitch: float
    roll: float
    floor: Floor | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedLevel:
    """A tank whose surface stays where it is stated (a header tank kept full, a test reservoir)."""

    surface: Point


TankShape = Solid | DipTable | StatedLevel

VentKind = Literal["forward", "flush", "cap", "unknown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Vent:
    """How the tank breathes.

    ``pressure_coefficient`` [-] acts in flight; ``coefficient_low`` and ``coefficient_high`` are
    its band. Nothing above zero is counted on, whatever the band: no credit for ram. Tanks with the
    same ``group`` share one airspace and so one pressure, and have the same vent.
    """

    kind: VentKind
    pressure_coefficient: float
    coefficient_low: float
    coefficient_high: float
    group: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlet:
    """A port of the tank at which a line begins or ends; node name ``tank.outlet``.

    ``bore`` [m]; ``entrance`` is the loss of flow out of the tank, ``screen`` the finger strainer
    if there is one.
    """

    name: str
    at: Point
    bore: float
    entrance: MinorLoss
    screen: Screen | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    """One tank.

    ``placarded_capacity``, ``unusable`` (declared) and ``least_takeoff`` [m3]; the latter two are
    None for a tank of stated level. ``sump``, ``filler`` and ``vent_at`` are points where given.
    ``volume`` [m3] is what a tank of stated level holds, None where it is not known.
    """

    name: str
    shape: TankShape
    outlets: tuple[Outlet, ...]
    vent: Vent
    placarded_capacity: float | None
    unusable: float | None
    least_takeoff: float | None
    sump: Point | None = None
    filler: Point | None = None
    vent_at: Point | None = None
    volume: float | None = None

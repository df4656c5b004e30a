"""How the lines are laid in the aeroplane: ground attitude, supports, what is near, vent lines."""

from dataclasses import dataclass, field
from typing import Literal

from flowsim.system.points import Point

LandingGear = Literal["tailwheel", "nosewheel"]
ObstacleKind = Literal["wire", "hot part", "control", "structure edge"]
ProtectionKind = Literal["sleeve", "anti-chafe"]
CrossingKind = Literal["bulkhead", "rib", "line", "strap"]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundAttitude:
    """How the aeroplane stands: ``pitch`` [rad] of the fuel system's datum, nose-up positive."""

    gear: LandingGear
    pitch: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Protection:
    """A sleeve or an anti-chafe wrap: on straight piece ``run`` (from 1), or from ``along`` [m] on.

    ``length`` [m] goes with ``along``; on a run it covers the whole of it. It costs no head.
    """

    kind: ProtectionKind
    run: int | None = None
    along: float | None = None
    length: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Installation:
    """How one line is laid.

    ``supports_at`` are points, ``supports_along`` [m] from its start (both None: not stated; empty:
    it has none). ``measured_sag`` [m] of the filled tube or hose laid over two rods
    ``measured_span`` [m] apart tells its stiffness. ``wall_density`` [kg/m3] and
    ``least_bend_radius`` [m] are its maker's, ``largest_span`` [m] between supports too;
    ``hose_outside_diameter`` [m] where it is hose.
    ``start_make_up`` and ``end_make_up`` [m] of the centre-line are taken up by the fittings at its
    ends (None: not stated). ``trim`` [m] is added at each end of each piece, to be cut later (None:
    the usual one). ``protection`` are its sleeves and wraps.
    """

    line: str
    supports_at: tuple[Point, ...] | None = None
    supports_along: tuple[float, ...] | None = None
    measured_sag: float | None = None
    measured_span: float | None = None
    wall_density: float | None = None
    hose_outside_diameter: float | None = None
    least_bend_radius: float | None = None
    largest_span: float | None = None
    trim: float | None = None
    protection: tuple[Protection, ...] = ()
    start_make_up: float | None = None
    end_make_up: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """Something a line must keep away from.

    ``points`` [m]: one point, or corners joined by straight pieces. ``radius`` [m] of what lies
    about them. ``least`` [m] is the clearance asked for; None takes that of its kind.
    """

    name: str
    kind: ObstacleKind
    points: tuple[Point, ...]
    radius: float = 0.0
    least: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """A place where a line passes through or over something and needs a sleeve.

    ``sleeve`` [m] is the sleeve's length, None: the usual one.
    """

    name: str
    line: str
    kind: CrossingKind
    at: Point
    sleeve: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class VentLine:
    """A vent line from the tank's vent to the open air: ``route`` [m] in that order.

    ``bore`` [m] inside; ``bend_radius`` [m] of its bends, None where unknown. ``drains_at`` are its
    drains.
    """

    name: str
    tank: str
    route: tuple[Point, ...]
    bore: float
    bend_radius: float | None = None
    drains_at: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Routing:
    """What a case says of routing, with the usual values where it says nothing.

    ``wanted_margin`` [rad] between a run's slope and level, over all attitudes. ``bank`` [rad] of
    the turn, ``slip`` [rad] of the slip that is flown, to either side (None: not stated), for
    ``slip_time`` [s] at most and with ``slip_fuel`` [m3] at least in the tank in use (None: not
    stated). ``trim`` [m] is added at each end of a piece; ``sleeve`` [m] is the usual sleeve's
    length. ``stated`` names those of these values that the case gives.
    """

    ground: GroundAttitude | None = None
    wanted_margin: float = 0.017453292519943295
    bank: float = 0.5235987755982988
    slip: float | None = None
    slip_time: float | None = None
    slip_fuel: float | None = None
    trim: float = 0.0254
    sleeve: float = 0.075
    installations: tuple[Installation, ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    crossings: tuple[Crossing, ...] = ()
    vent_lines: tuple[VentLine, ...] = ()
    stated: frozenset[str] = field(default=frozenset())

    def installation(self, line: str) -> Installation:
        """Give how a line is laid; where nothing is stated, an installation without values."""
        named = (item for item in self.installations if item.line == line)
        return next(named, Installation(line=line))

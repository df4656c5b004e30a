"""What the routing study answers: frozen, in SI units, complete enough to make every output."""

from dataclasses import dataclass
from enum import StrEnum

from flowsim.physics.arrays import FloatArray
from flowsim.studies.saying import Said, saying
from flowsim.system.points import Point

COMMON_PRACTICE = saying("routing.common_practice")
"""The source of what has none."""


class Grade(StrEnum):
    """How much a finding matters."""

    MEND = "to be mended"
    UNKNOWN = "not known"
    LOOK = "look at it"


class Clearing(StrEnum):
    """What becomes of air at a high point, in one attitude; each is worse than the one before."""

    CLEARS = "clears"
    NO_FLOW = "no flow"
    UNCERTAIN = "uncertain"
    WILL_NOT_CLEAR = "will not clear"


class Venting(StrEnum):
    """Whether air rises out of a line that is filled again; each is worse than the one before."""

    VENTS_ITSELF = "vents itself"
    NOT_KNOWN = "not known"
    HOLDS_AIR = "holds air"


class Sense(StrEnum):
    """How a run goes from the line's start to its end, over all attitudes."""

    FALLS = "falls"
    RISES = "rises"
    CHANGES = "changes"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing found: ``topic`` and ``item`` name it, ``words`` say it, ``source`` the rule."""

    grade: Grade
    topic: str
    item: Said
    words: Said
    source: Said = COMMON_PRACTICE


@dataclass(frozen=True, slots=True, kw_only=True)
class AttitudeView:
    """One attitude: ``pitch`` and ``roll`` or ``bank`` [rad], ``gravity`` over g0 (3,).

    ``on_ground`` tells that the aeroplane stands. ``words`` say where the angles are from.
    """

    name: str
    pitch: float
    roll: float
    gravity: FloatArray
    on_ground: bool
    words: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place on the lines: ``words`` name it; ``along`` [m] from the start of ``line``.

    ``line`` and ``along`` are None at a node, ``node`` is None between nodes; ``corner`` is the
    index of the route's point that it lies at, None on a straight piece.
    """

    words: Said
    at: Point
    line: str | None
    along: float | None
    node: str | None
    corner: int | None

    @property
    def key(self) -> str:
        """Tells places apart over attitudes: the crest of one bend wanders a little along it."""
        if self.node is not None:
            return self.node
        if self.corner is not None:
            return f"{self.line}, point {self.corner}"
        return f"{self.line} {self.along}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A straight run of a line: ``number`` counts from 1 in its line, ``length`` [m].

    ``falls`` [rad] below level, from the line's start to its end, one for each attitude (negative:
    it rises). ``least`` [rad] is the least of them over the whole band of pitch, wings level, taken
    in the sense that the run has (see ``sense``); negative where it changes its sense. ``margin``
    is that less the wanted margin. ``is_mean`` tells that only the ends of the line are known: a
    mean, not a slope.
    """

    line: str
    number: int
    start: Point
    end: Point
    length: float
    falls: tuple[float, ...]
    least: float
    margin: float
    sense: Sense
    is_mean: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainReach:
    """How a drain serves a low point: ``left`` [m3], ``depth`` [m] stays although it is opened."""

    drain: Said
    left: float
    depth: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TankPool:
    """Water that stays in a tank as the aeroplane stands.

    ``way_out`` names the lowest drain or outlet; ``depth`` [m] and ``volume`` [m3] of what stays
    below it; the volume is NaN where the tank's shape is not known, both are where its lowest place
    is not.
    """

    tank: str
    way_out: Said
    depth: float
    volume: float
    is_drained: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LowPoint:
    """A dip in one attitude.

    ``depth`` [m] under the lower spill point, ``volume`` [m3] that stays (bore area times length
    below that level, all lines that meet there), ``spill`` the place where it runs over.
    ``drains`` are those in the dip, the one that leaves least first. ``known`` is False where a
    line there has no known course.
    """

    attitude: str
    place: Place
    depth: float
    volume: float
    spill: Said
    drains: tuple[DrainReach, ...]
    is_drained: bool
    known: bool
    vent_line: bool = False

    @property
    def left(self) -> float:
        """What stays when every drain in it is opened [m3]."""
        return self.drains[0].left if self.drains else self.volume

    @property
    def left_depth(self) -> float:
        """How deep that stands [m]."""
        return self.drains[0].depth if self.drains else self.depth


@dataclass(frozen=True, slots=True, kw_only=True)
class HighPoint:
    """A hump in one attitude.

    ``height`` [m] over the higher spill point and ``volume`` [m3] of air above it, both zero
    where the air can rise out through another line. ``column`` [m] is the fall behind it that
    may stand full of air. ``state`` is the worst over selector positions, temperatures, ends
    and screens; ``is_doubtful`` tells that as the heights are known there may be no hump;
    ``flow`` [m3/s] is that in the deciding leg with the air in place, ``clearing_flow`` [m3/s]
    what it takes, ``line`` and ``slope`` [rad] the leg. ``delivered`` and
    ``delivered_with_air`` [kg/s] arrive with full lines and with the air. NaN where nothing was
    worked out.
    """

    attitude: str
    place: Place
    height: float
    volume: float
    column: float
    state: Clearing
    is_doubtful: bool
    line: str
    slope: float
    flow: float
    clearing_flow: float
    case: Said
    delivered: float
    delivered_with_air: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Refill:
    """How air leaves on refill after the tank has run dry, from one outlet in one attitude.

    ``broken_at`` names the first hump.
    ``bore`` [m] is the least on the falling way, ``flow`` [m3/s] the most fuel that runs down a
    vertical tube of it while its air rises (an upper bound).
    """

    outlet: str
    attitude: str
    answer: Venting
    down_to: str
    broken_at: str
    bore: float
    flow: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """A bend: ``angle`` [rad], ``radius`` [m] and the ``least`` allowed [m] (None: not known)."""

    line: str
    point: int
    angle: float
    radius: float
    least: float | None
    exact: bool
    source: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class SupportSpan:
    """A stretch between two supports: ``start`` and ``end`` [m] along the line.

    ``largest`` [m] by the table (None: not known). ``fall`` [rad] of the straight between them in
    the attitude ``attitude`` where it is least. ``sag``, ``dip`` [m] and ``dip_volume`` [m3] with
    ends free to turn; ``sag_fixed`` with clamped ends. NaN where the stiffness is not known.
    """

    line: str
    start: float
    end: float
    largest: float | None
    source: Said
    attitude: str
    fall: float
    sag: float
    sag_fixed: float
    dip: float
    dip_volume: float
    is_in_range: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """Between a line and another thing: ``gap`` [m] from surface to surface, ``wanted`` [m].

    ``at`` and ``other_at`` are the two points of the centre-lines that are nearest.
    """

    line: str
    other: str
    kind: str
    gap: float
    wanted: float
    at: Point
    other_at: Point
    source: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureCrossing:
    """Two lines that cross in a view: ``outside`` is the one nearer the looker, ``apart`` [m].

    ``words`` say how it lies ("outboard of", "above", "ahead of"); ``apart`` is between surfaces.
    """

    view: str
    outside: str
    inside: str
    words: Said
    at: Point
    apart: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One line of the cut list: lengths [m], masses [kg], volume [m3]; NaN where not known.

    ``centre_line`` from node to node, ``make_up`` taken off for fittings, ``pieces`` counted,
    ``trim`` added, ``cut`` to be cut in all. ``sleeves`` and ``wraps`` (anti-chafe) with their
    lengths in all.
    """

    line: str
    size: Said
    material: str
    centre_line: float
    make_up: float
    pieces: int
    trim: float
    cut: float
    bends: int
    supports: int
    supports_stated: bool
    sleeves: int
    sleeve_length: float
    wraps: int
    wrap_length: float
    tube_mass: float
    fuel_volume: float
    fuel_mass: float
    sleeve_mass: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RoutingResult:
    """The whole answer. ``pitch_band`` [rad] is that over which runs are judged.

    ``ticks`` are things to tick off at the aeroplane.
    """

    title: str
    attitudes: tuple[AttitudeView, ...]
    missing_attitudes: tuple[Said, ...]
    pitch_band: tuple[float, float]
    wanted_margin: float
    runs: tuple[Run, ...]
    low_points: tuple[LowPoint, ...]
    high_points: tuple[HighPoint, ...]
    refills: tuple[Refill, ...]
    bends: tuple[Bend, ...]
    spans: tuple[SupportSpan, ...]
    clearances: tuple[Clearance, ...]
    crossings: tuple[PictureCrossing, ...]
    cuts: tuple[Cut, ...]
    fittings: tuple[tuple[Said, int], ...]
    ticks: tuple[Said, ...]
    findings: tuple[Finding, ...]
    assumptions: tuple[Said, ...]
    cautions: tuple[Said, ...]
    of_the_case: tuple[Said, ...]
    """What the case assumes, as every study of it takes it over."""
    required: float

    @property
    def exit_code(self) -> int:
        """1 with a finding to be mended, else 3 with something not known, else 0."""
        grades = {finding.grade for finding in self.findings}
        if Grade.MEND in grades:
            return 1
        return 3 if Grade.UNKNOWN in grades else 0

"""What the study of unusable fuel answers: frozen, in SI units."""

import math
from dataclasses import dataclass

from flowsim.studies.result import Verdict
from flowsim.studies.saying import Said


@dataclass(frozen=True, slots=True, kw_only=True)
class Extreme:
    """The largest limit of a group and where it is found.

    ``quantity`` [m3]: infinite where not even a full tank is enough, NaN where nothing was asked.
    ``reason``: "flow" or "air". Angles [rad], ``temperature`` [K]. ``together``: other tanks were
    emptied alike; ``dry``: these were empty. ``times`` [-] of the critical dip of a still tank.
    """

    quantity: float
    reason: str = ""
    selector: str = ""
    together: bool = False
    dry: tuple[str, ...] = ()
    kind: str = ""
    pitch: float = math.nan
    lean: float = math.nan
    temperature: float = math.nan
    end: str = ""
    times: float = math.nan


@dataclass(frozen=True, slots=True, kw_only=True)
class AttitudeLimits:
    """Limits [m3] of one emptying in one attitude, worst over temperatures and ends.

    ``tanks`` are emptied together, each to the same quantity, while ``dry`` are empty. ``stops``:
    below it nothing flows.
    ``burn_flow`` and ``burn_air``: below it the burn does not arrive, or air is drawn at it.
    ``required_flow`` and ``required_air``: the same for the required flow; NaN where it is not
    asked for. Infinite: not even with full tanks. These are with the expected dip of the surface;
    ``burn_cautious`` and ``required_cautious`` are the larger of flow and air with the cautious
    one.
    """

    selector: str
    tanks: tuple[str, ...]
    dry: tuple[str, ...]
    judged: bool
    kind: str
    pitch: float
    lean: float
    stops: float
    burn_flow: float
    burn_air: float
    required_flow: float
    required_air: float
    burn_cautious: float
    required_cautious: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cautious:
    """The same limits of a tank with the cautious dip of the surface, air possibly drawn."""

    burn: Extreme
    required: Extreme
    takeoff: Extreme
    flown_slip: Extreme | None


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityBand:
    """Band of a quantity [m3] below which something is lost.

    ``low``, ``middle``, ``high``: the least quantities that are enough in 5, 50 and 95 % of the
    ``draws``; infinite where not even a full tank is, NaN (no result) as soon as one draw failed.
    ``enough`` [-]: share of the draws in which the stated quantity is enough; NaN where none is
    stated.
    """

    low: float
    middle: float
    high: float
    draws: int
    failed: int
    enough: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeBand:
    """5th, 50th and 95th percentile of a time [s] in ``draws``; NaN as soon as one ``failed``."""

    low: float
    middle: float
    high: float
    draws: int
    failed: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DipBands:
    """Bands of the three limits of a tank, with one dip of the surface.

    ``burn`` against the declared unusable fuel, ``required`` against that and the test's draw,
    ``takeoff`` against the stated least take-off fuel; ``flown_slip`` of the burn in the slips that
    the case flies, against the fuel with which they are flown, None without any.
    """

    burn: QuantityBand
    required: QuantityBand
    takeoff: QuantityBand
    flown_slip: QuantityBand | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TankBands:
    """Bands with the expected and with the cautious dip of the surface (air possibly drawn)."""

    expected: DipBands
    cautious: DipBands


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupBands:
    """Bands of the largest limits of one emptying in one kind of attitude, cautious dip.

    ``down``: wings level, nose-down; those pitches are apart from level and nose-up. ``required``
    is of no draws where it is not asked for.
    """

    selector: str
    tanks: tuple[str, ...]
    dry: tuple[str, ...]
    judged: bool
    kind: str
    down: bool
    burn: QuantityBand
    required: QuantityBand


@dataclass(frozen=True, slots=True, kw_only=True)
class TankUnusable:
    """The answer for one tank; quantities [m3].

    ``burn`` and ``required``: largest limit of the deciding attitudes for the burn and for the
    required flow, air included. ``stops``: where all flow has stopped. ``slip``: largest limit for
    the burn in the usual slips, which does not decide; ``flown_slip`` in those that the case flies,
    if any.
    ``doubt_burn`` and ``doubt_required``: the same as ``burn`` and ``required`` where air may be
    drawn. ``takeoff``: least fuel for the required flow at take-off. All these with the expected
    dip of the surface; ``cautious`` holds burn, required, takeoff and flown_slip with the cautious
    dip and where air may be drawn. ``unusable_placard`` and ``takeoff_placard`` are from the
    cautious ones and the 95th percentiles of their ``bands`` (None where nothing was drawn),
    rounded up, the latter never below the former; NaN where ``line_too_small``: the flow is lost
    with outlets covered, which more fuel only hides.
    """

    name: str
    capacity: float
    declared: float
    test_draw: float
    slip_fuel: float
    least_takeoff: float
    burn: Extreme
    required: Extreme
    stops: Extreme
    slip: Extreme
    flown_slip: Extreme | None
    doubt_burn: Extreme
    doubt_required: Extreme
    takeoff: Extreme
    cautious: Cautious
    bands: TankBands | None
    line_too_small: bool
    unusable_placard: float
    takeoff_placard: float
    verdict: Verdict
    reasons: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UnusableResult:
    """The whole answer; ``failed`` counts rows in which a solve failed (they count as lost).

    ``draws`` joint draws that the bands of the tanks rest on, 0 where nothing was drawn; ``groups``
    are those by kind of attitude, empty then.
    """

    title: str
    burn: float
    required: float
    descent_burn: float | None
    pitch_low: float
    pitch_high: float
    tanks: tuple[TankUnusable, ...]
    attitudes: tuple[AttitudeLimits, ...]
    groups: tuple[GroupBands, ...]
    failed: int
    draws: int
    verdict: Verdict
    reasons: tuple[Said, ...]

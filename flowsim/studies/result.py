"""What the adequacy study answers: frozen, in SI units, complete enough to make every output."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from flowsim.physics.losses.law_shape import Formula
from flowsim.studies.saying import NOTHING, Said, saying
from flowsim.system.tags import Tag


class Verdict(StrEnum):
    """The three answers. Not one of them is an approval."""

    ADEQUATE = "adequate"
    NOT_ADEQUATE = "not adequate"
    CANNOT_TELL = "cannot tell"


UNSOLVED_REMEDY = saying("result.unsolved_remedy")
"""What to try where a scenario is not solved, which no system should be."""
OPEN_LINE_ONLY = "adequate, open line only"
"""The best that is said where the carburettor's needle and seat is not known."""
AS_STATED = "as stated"
"""Screens of a scenario that are not taken for dirty."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Requirement:
    """``burn`` and ``required`` [kg/s], ``factor`` [-], ``basis`` the working in words.

    ``density`` [kg/m3] at which volumes of the requirement are shown (fuel at the first stated
    temperature's density would mislead: it is the density at 15 degC).
    """

    burn: float
    factor: float
    required: float
    density: float
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenarioResult:
    """One scenario and what came of it.

    ``purpose``: "climb" (judged at the factor), "in_flight" (the same, open line with the suction
    at the vents), "unusable" (full-power burn on the declared unusable fuel), "descent" (its own
    burn), "takeoff_run" (full-power burn at ``forward_acceleration`` [m/s2]) or "drawn" (only for
    the picture). Angles [rad], masses per time [kg/s], pressures [Pa], heads [m], volumes [m3],
    temperatures [K]. Values that do not
    exist are NaN (numbers) or None (percentiles of scenarios that were not drawn).
    ``flow`` is the deliverable: the solved flow or, if less, the flow at which air begins.
    ``air_drawn``: air would be drawn at the required flow (or below it).
    ``air_margin`` is the least height of fuel standing above the first flowing junction at the
    required flow (NaN: no uncovered outlet). ``trapped_air_head`` is what humps that are not shown
    to clear may hold back, ``flow_trapped`` the flow with it taken off.
    ``head_left`` is the head over the inlet at the required flow [m]. ``flags`` are all words on
    what is notable, ``remarks`` those of them that no other field tells.
    """

    index: int
    selector: str
    pitch: float
    roll: float
    airspeed: float
    altitude: float
    fuel_state: str
    quantities: tuple[tuple[str, float], ...]
    temperature: float
    tank_air_pressure: tuple[tuple[str, float], ...]
    end: str
    screens: Said
    purpose: str
    judged: bool
    required: float
    flow: float
    solved_flow: float
    volume_flow: float
    flow_low: float | None
    flow_high: float | None
    inlet_pressure_at_required: float
    head_left: float
    uncovered: tuple[str, ...]
    air_drawn: bool
    air_margin: float
    vapour_margin: float
    lowest_pressure_margin: float
    trapped_air_head: float
    flow_trapped: float
    humps: tuple[Said, ...]
    backflow: tuple[str, ...]
    converged: bool
    residual: float
    flags: tuple[Said, ...]
    remarks: tuple[Said, ...] = ()
    verdict: Verdict
    forward_acceleration: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LossRow:
    """One part on a path from a tank to the end, in the order in which fuel meets it.

    ``flow`` [m3/s], ``bore`` [m], ``velocity`` [m/s], ``reynolds`` [-], ``coefficient`` [-] (K of
    the part at this flow on its bore; Darcy factor for a pipe; NaN where neither exists),
    ``loss`` [m of fuel], ``share`` [-] of the head available. ``terms`` are the numbers that the
    hand check needs, by name, in SI; ``formula`` is the law in words, None where the hand check has
    a working of its own. Rows with the same ``key`` are one thing; ``tag`` says where
    its number is from (None for the kinetic energy at an end, which no number of a part sets).
    """

    part: Said
    line: str
    law: str
    flow: float
    bore: float
    velocity: float
    reynolds: float
    coefficient: float
    loss: float
    share: float
    source: str
    terms: tuple[tuple[str, float], ...]
    key: str = ""
    tag: Tag | None = None
    formula: Formula | None = None

    @property
    def part_of_line(self) -> Said:
        """The part with the line that it is in."""
        return saying("part_of_line", part=self.part, line=self.line)


@dataclass(frozen=True, slots=True, kw_only=True)
class LossPath:
    """The losses along one path from a tank's surface to the end, at the deciding scenario.

    ``available`` [m of fuel] is surface less end, with the pressures on both; the rows' losses add
    up to it within ``closure`` [m].
    """

    tank: str
    outlet: str
    end: str
    surface_elevation: float
    end_elevation: float
    tank_pressure_head: float
    end_pressure_head: float
    available: float
    rows: tuple[LossRow, ...]
    closure: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultLine:
    """The answer for one end and one requirement.

    ``least_nominal``, ``least_low``, ``least_median``, ``least_high`` [-]: least ratio of flow to
    required over the judged scenarios: nominal, and 5th, 50th, 95th percentile over joint draws
    (None when judged on nominal values; infinite: more than ``FAR_ENOUGH``, up to which the band
    was worked out where the burn alone is asked for). ``deciding`` is the index of the scenario.
    ``flow_verdict`` is the word of the flow alone, ``verdict`` with air, vapour and laws as well.
    ``held_by_air`` tells that the flow falls short for the air behind humps alone.
    """

    name: Said
    end: str
    required: float
    least_nominal: float
    least_low: float | None
    least_median: float | None
    least_high: float | None
    chance: float | None
    deciding: int
    verdict: Verdict
    flow_verdict: Verdict
    held_by_air: bool
    reasons: tuple[Said, ...]


class Topic(StrEnum):
    """What a decision is about; the values are the keys of the JSON."""

    FLOW = "flow"
    AIR = "air"
    VAPOUR = "vapour"
    HUMPS = "humps"
    HEADER_REFILL = "header_refill"
    UNUSABLE_FUEL = "unusable_fuel"
    LEAST_TAKEOFF_FUEL = "least_takeoff_fuel"
    TAKEOFF_RUN = "takeoff_run"
    SLIP = "slip"
    WATER = "water"
    FLOW_METER = "flow_meter"
    TANK_DATA = "tank_data"
    FUEL_DATA = "fuel_data"
    TEST_QUANTITY = "test_quantity"
    CARBURETTOR_DATA = "carburettor_data"


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """One thing that decides the verdict, with its own word.

    ``found`` says what was found, with its numbers; ``remedy`` what to do or measure (empty where
    nothing need be done; never empty where the verdict is not ``adequate``). ``scenario`` indexes
    the sweep's table where one scenario decides. ``informs`` marks what does not decide: it is
    printed "for information" and left out of the overall verdict. ``open_line_only`` keeps the
    words of an adequate verdict to "adequate, open line only". ``figure`` is the one number of
    ``found`` that a short list shows (empty where there is none).
    """

    topic: Topic
    name: Said
    verdict: Verdict
    found: Said
    remedy: Said = NOTHING
    scenario: int | None = None
    informs: bool = False
    open_line_only: bool = False
    figure: Said = NOTHING


@dataclass(frozen=True, slots=True, kw_only=True)
class Unmeasured:
    """One number that the answer rests on and nobody measured.

    ``share`` [-] of the head available and ``loss`` [m of fuel] on the dearest way of the deciding
    scenario, None where it is on none or is no loss; ``measure`` says what would replace it.
    """

    part: str
    line: str
    tag: Tag
    share: float | None
    loss: float | None
    measure: Said
    source: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class UnmeasuredCounts:
    """How much was not measured.

    Values the builder assumed, values filled in, losses from the catalogue (and their share [-] of
    the head on the deciding way where they cost most, None where nothing flows), and values stated
    without saying where from.
    """

    assumed: int
    default: int
    catalogue: int
    catalogue_share: float | None
    not_said: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Contribution:
    """How strongly one uncertain input goes with the margin: ``rank_correlation`` [-1, 1]."""

    name: Said
    measurement: Said
    rank_correlation: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AdequacyResult:
    """The whole answer.

    ``verdict_words`` is the verdict as it is said ("adequate, open line only" without carburettor
    data). ``decisions`` are what decides beside the lines of flow. ``unmeasured`` by share of the
    head, largest first; its losses stand first among the ``assumptions``. ``boils_from`` [K] is
    the fuel temperature at which the margin over boiling is gone (None: not within its laws).
    ``deciding`` indexes ``scenarios``. ``draws`` is 0 for a nominal judgement.
    """

    title: str
    requirement: Requirement
    verdict: Verdict
    verdict_words: str
    reasons: tuple[Said, ...]
    deciding: int
    lines: tuple[ResultLine, ...]
    decisions: tuple[Decision, ...]
    scenarios: Sequence[ScenarioResult]
    losses: tuple[LossPath, ...]
    costliest: tuple[Said, ...]
    contributions: tuple[Contribution, ...]
    settle: Said
    assumptions: tuple[Said, ...]
    unmeasured: tuple[Unmeasured, ...]
    not_measured: UnmeasuredCounts
    boils_from: float | None
    cautions: tuple[Said, ...]
    draws: int
    seed: int
    test_pitch: float
    level_pitch: float
    climb_pitch: float

    @property
    def deciding_scenario(self) -> ScenarioResult:
        """The scenario that decides."""
        return self.scenarios[self.deciding]

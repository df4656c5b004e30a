"""What the ground-test study answers: frozen, in SI units, complete enough for every output."""

from dataclasses import dataclass

from flowsim.studies.ground_test.drain_down import DrainDown
from flowsim.studies.ground_test.runs import Reading, Setting
from flowsim.studies.result import AdequacyResult, ResultLine, ScenarioResult
from flowsim.studies.saying import Said
from flowsim.system.fuel_system import FuelSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedRun:
    """One run of the plan.

    ``setting`` at the case's coldest-to-hottest middle temperature; ``needed``: it is part of the
    test whatever it tells, and has a pass mark. Times [s]: ``expected`` in the middle of all bands,
    ``low`` and ``high`` the 5th and 95th percentile, readings' errors included; ``mark`` the
    longest that it may take at that temperature, NaN where it is not needed. ``alone``, ``gain``
    and ``left`` [-] as in ``information.Choice``. ``reason`` in words.
    """

    name: Said
    setting: Setting
    needed: bool
    expected: float
    low: float
    high: float
    mark: float
    alone: float
    gain: float
    left: float
    reason: Said

    @property
    def misses(self) -> bool:
        """Whether the time to expect is longer than the mark, or none at all."""
        return self.needed and not self.expected <= self.mark

    @property
    def may_miss(self) -> bool:
        """Whether the mark lies inside the band of times to expect."""
        return self.needed and not self.misses and not self.high <= self.mark


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedDrain:
    """One drain-down that could stand for bucket runs.

    ``setting`` of the whole: its volume is all that is drawn. At each mark ``drawn`` [m3] and the
    time since the start [s]: ``expected``, ``low``, ``high`` (5th and 95th percentile, readings'
    errors included). ``share`` [-] of the deciding answer's variance that it takes away;
    ``buckets`` bucket runs of that position, repeats counted, take away ``bucket_share``.
    ``enough``: it stands for them.
    """

    setting: Setting
    drawn: tuple[float, ...]
    expected: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    share: float
    buckets: int
    bucket_share: float
    enough: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class VentTest:
    """The vent test of one airspace, with the ``selector`` there (empty: there is none).

    ``ullage`` [m3] over the fuel; ``head`` [m] to the open end at the test attitude;
    ``stops_after`` [m3] drawn through a shut vent until the flow stops, NaN where it does not show;
    ``draw`` [m3] 1.5 times that, what must be drawn to notice. ``full``: with the tank full;
    otherwise at the test quantity, where the draw is larger than a short run's.
    """

    tank: str
    selector: str
    full: bool
    ullage: float
    head: float
    vapour_pressure: float
    stops_after: float
    draw: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundTestPlan:
    """The test card.

    ``required`` [kg/s]; ``container`` [m3]; ``repeats`` of each run; ``runs`` in the order to make
    them; ``deciding`` the scenario whose uncertainty they narrow; ``unseen`` the inputs that no run
    can see, with what would settle them. ``lines`` are the answers before the test.
    ``drain``: one drain-down, and whether it stands for bucket runs. ``never_parted`` pairs of
    tanks that are joined in every selector position.
    """

    title: str
    required: float
    burn: float
    factor: float
    container: float
    repeats: int
    climb_pitch: float
    test_pitch: float
    level_pitch: float
    runs: tuple[PlannedRun, ...]
    drain: PlannedDrain | None
    vents: tuple[VentTest, ...]
    drain_out: tuple[tuple[str, float], ...]
    fuel_name: str
    densities: tuple[tuple[float, float], ...]
    deciding: ScenarioResult
    lines: tuple[ResultLine, ...]
    unseen: tuple[tuple[Said, Said], ...]
    never_parted: tuple[tuple[str, str], ...]
    leak_pressure: float
    leak_head: float
    assumptions: tuple[Said, ...]
    cautions: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RunResult:
    """One run against the prediction and against the mark.

    ``expected``, ``low``, ``high`` [s] before the test (5th to 95th percentile with the readings'
    errors), ``law`` [s] by the expected friction law in the middle of all bands; ``inside`` whether
    the time lies in that band; ``after`` [s] by the corrected model; ``misfit`` [-] in deviations
    after the fit (None: not fitted). ``percent`` [-] flow over required. ``suggests`` what a run
    that does not fit may mean.
    """

    reading: Reading
    flow: float
    flow_error: float
    ratio: float
    expected: float
    low: float
    high: float
    law: float
    inside: bool
    after: float
    misfit: float | None
    suggests: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedInput:
    """One uncertain input before and after: medians and 5th to 95th percentiles.

    Values are factors but for the height, which is in metres (``unit`` "m"). ``score`` and
    ``deviation`` of its normal score after the test; ``learned`` [-] the share of its variance that
    the test took away. ``stored`` as the calibrated case keeps it: score and directions.
    """

    key: str
    name: Said
    unit: str
    before: tuple[float, float, float]
    after: tuple[float, float, float]
    score: float
    deviation: float
    learned: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedGroup:
    """Inputs that the test sees only together.

    ``learned`` [-] the share of the variance of their combination that the test took away;
    ``members`` names with their weights.
    """

    learned: float
    members: tuple[tuple[Said, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundTestFit:
    """What the readings say and teach.

    ``least`` indexes ``runs``: the least flow over required of the runs that count for the mark, or
    of all runs if none does. ``passed`` is whether the least of them meets the mark, None where
    that is not shown: no run counts, runs are missing, it is met by less than the reading's own
    error, or the readings are distrusted. ``drains``: the curves of timed drain-downs. ``before``
    and ``after`` are whole checks of the case as it was and as corrected; ``system`` is the
    corrected one. ``distrust`` says why the correction is not to be relied on (then no calibrated
    case is to be made); empty if nothing speaks against it. ``learned`` and ``directions`` are what
    the calibrated case keeps (``scores.learned_of``).
    """

    title: str
    required: float
    runs: tuple[RunResult, ...]
    least: int
    passed: bool | None
    pass_words: Said
    findings: tuple[Said, ...]
    drains: tuple[DrainDown, ...]
    inputs: tuple[LearnedInput, ...]
    groups: tuple[LearnedGroup, ...]
    learned: tuple[float, ...]
    directions: tuple[tuple[float, ...], ...]
    before: AdequacyResult
    after: AdequacyResult
    system: FuelSystem
    distrust: Said
    remarks: tuple[Said, ...]
    cautions: tuple[Said, ...]

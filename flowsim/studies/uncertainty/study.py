"""How sure: the band of the least margin from many joint draws, and what the band comes from."""

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.physics.arrays import FloatArray, IntArray
from flowsim.progress import Progress
from flowsim.studies.adequacy.brief import Brief
from flowsim.studies.adequacy.study import requirement_of
from flowsim.studies.joint.study import JointResult, joint_result
from flowsim.studies.judged.sweep import Sweep, sweep
from flowsim.studies.result import Decision, Requirement, ResultLine, Verdict
from flowsim.studies.review.remarks import assumptions, cautions
from flowsim.studies.sampling.causes import has_spread
from flowsim.studies.sampling.draws import BATCH, Draws, batches, draws_from
from flowsim.studies.sampling.ranking import AdditiveFit, Share, even, ranked_shares, shares_of
from flowsim.studies.saying import Said
from flowsim.studies.uncertainty.sensitivity import (
    Swings,
    VarianceIndices,
    swings,
    variance_indices,
)
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.decisions.gather import decisions_of
from flowsim.studies.verdict.judging import (
    HIGH,
    LOW,
    MIDDLE,
    judge_lines,
    percentile,
    ratio_verdict,
    worst,
)
from flowsim.studies.verdict.overall import overall
from flowsim.system.fuel_system import FuelSystem

DRAWS = 16384
SAMPLES = 512
"""Base samples of the variance-based indices."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Distribution of a least ratio of flow to required [-] over the draws, air in place.

    ``low``, ``middle``, ``high``: 5th, 50th, 95th percentile, each with its standard sampling
    error; ``chance`` of reaching the requirement with its own. ``full_high``: 95th percentile with
    lines full of fuel. NaN as soon as one draw failed; infinite where a purpose was not worked out
    beyond ``FAR_ENOUGH``, and so is its error.
    """

    draws: int
    low: float
    low_error: float
    middle: float
    middle_error: float
    high: float
    high_error: float
    chance: float
    chance_error: float
    full_high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LineSpread:
    """A result line with its spread; ``required`` [kg/s]."""

    line: ResultLine
    required: float
    spread: Spread


@dataclass(frozen=True, slots=True, kw_only=True)
class UncertaintyResult:
    """The whole answer.

    ``verdict`` is the worst of everything that decides, as a check's: the flows on all draws, and
    the ``decisions``, which rest on the first of them; ``reasons`` say why it is not better.
    ``together`` is the least margin over all judged scenarios within each draw; ``convergence`` the
    same on the first draws alone. ``shares`` rank the inputs by what knowing each would take off
    the variance of that least margin, ``indices`` and ``moved`` are in the order of ``names``.
    ``measure_first`` is the measurement that would narrow the band most; ``as_good`` others that
    cannot be told from it.
    """

    title: str
    requirement: Requirement
    verdict: Verdict
    verdict_words: str
    reasons: tuple[Said, ...]
    decisions: tuple[Decision, ...]
    together: Spread
    lines: tuple[LineSpread, ...]
    convergence: tuple[Spread, ...]
    shares: tuple[Share, ...]
    names: tuple[Said, ...]
    measurements: tuple[Said, ...]
    indices: VarianceIndices | None
    moved: Swings
    measure_first: Said
    as_good: tuple[Said, ...]
    failed: int
    scenarios: int
    draws: int
    seed: int
    assumptions: tuple[Said, ...]
    cautions: tuple[Said, ...]


def uncertainty(
    system: FuelSystem,
    *,
    draws: int = DRAWS,
    seed: int,
    samples: int = SAMPLES,
    progress: Progress | None = None,
    stated: Brief | None = None,
) -> UncertaintyResult:
    """Study the spread of the least margin over all judged scenarios.

    Parameters
    ----------
    system : FuelSystem
    draws : int
        Joint draws, at least 2, made in batches of ``draws.BATCH``.
    seed : int
        The first batch is what a check with the same seed draws.
    samples : int
        Base samples of the variance-based indices, a power of two; 0 leaves them out.
    progress : callable, optional
        Called with a word, how many are done, and how many there are.
    stated : Brief, optional
        The system as it was judged already: its draws are not solved again.

    Returns
    -------
    UncertaintyResult
    """
    swept = sweep(system) if stated is None else stated.swept
    study = _Study(swept, None if stated is None else stated.joint)
    for number, batch in enumerate(batches(swept.assembly, draws, seed)):
        if progress is not None:
            progress("drawing", number * BATCH, draws)
        study.add(batch)
    inputs = study.first.draws.inputs
    active = np.array([has_spread(system, item) for item in inputs])
    indices = None
    if samples and active.any() and not study.failed:
        indices = variance_indices(study.evaluate, active, samples, seed, progress)
    lines = study.lines()
    together = spread_of(*study.together())
    judged = tuple(item.line for item in lines)
    decisions = decisions_of(Evidence(swept=swept, joint=study.first, lines=judged))
    told = overall(swept, study.first, judged, decisions)
    verdict = worst([told.verdict, ratio_verdict(together.low, together.full_high)])
    shares = ranked_shares(inputs, study.fit)
    first, as_good = _measure_first(study, shares)
    return UncertaintyResult(
        title=system.title,
        requirement=requirement_of(system),
        verdict=verdict,
        verdict_words=told.words if verdict is told.verdict else str(verdict),
        reasons=told.reasons,
        decisions=decisions,
        together=together,
        lines=lines,
        convergence=_convergence(*study.together()),
        shares=shares,
        names=tuple(item.name for item in inputs),
        measurements=tuple(item.measurement for item in inputs),
        indices=indices,
        moved=swings(study.evaluate, len(inputs)),
        measure_first=first,
        as_good=as_good,
        failed=study.failed,
        scenarios=len(study.drawn),
        draws=draws,
        seed=seed,
        assumptions=assumptions(system),
        cautions=cautions(swept),
    )


class _Study:
    """Takes batches of draws; keeps of each draw only the least ratio of each result line."""

    def __init__(self, swept: Sweep, solved: JointResult | None = None) -> None:
        self.swept, self.solved = swept, solved
        self.drawn: set[int] = set()
        end, purpose = self._keys(swept.judged_rows)
        # Of all that is judged, and sorted: the same whichever scenarios are drawn.
        self.keys = sorted(set(zip(end.tolist(), purpose.tolist(), strict=True)))
        self.known = np.array(
            [
                not swept.unsolved[(end == one) & (purpose == other)].any()
                for one, other in self.keys
            ]
        )
        self.full: list[FloatArray] = []
        self.trapped: list[FloatArray] = []
        self.least: list[tuple[FloatArray, FloatArray]] = []
        self.fit: AdditiveFit
        self.first: JointResult

    def _keys(self, rows: npt.NDArray[np.intp]) -> tuple[IntArray, npt.NDArray[np.str_]]:
        return self.swept.table.scenarios.end[rows], self.swept.table.purpose[rows]

    def add(self, batch: Draws) -> None:
        """Solve one more batch."""
        solved = self.solved
        is_solved = solved is not None and np.array_equal(solved.draws.values, batch.values)
        joint = solved if solved is not None and is_solved else joint_result(self.swept, batch)
        self.drawn.update(joint.rows.tolist())
        self.full.append(self._least(joint, trapped=False))
        self.trapped.append(self._least(joint, trapped=True))
        if len(self.full) == 1:
            self.first = joint
            self.fit = AdditiveFit(len(batch.inputs))
        self.least.append((self._least_of_all(joint, True), self._least_of_all(joint, False)))
        self.fit.add(batch.values, self.least[-1][0])

    def _least(self, joint: JointResult, *, trapped: bool) -> FloatArray:
        """Least ratio of each group (draw, group); NaN where a scenario of it was not solved."""
        least = np.full((joint.draws.count, len(self.keys)), np.nan)
        for column, (one, other) in enumerate(self.keys):
            if self.known[column]:
                least[:, column] = joint.least_of(self.swept.table, one, other, trapped=trapped)
        return least

    def _least_of_all(self, joint: JointResult, trapped: bool) -> FloatArray:
        """Least ratio of all (draw,); NaN where a scenario was not solved."""
        everything = np.ones(len(joint.rows), dtype=bool)
        least = joint.least(everything, trapped=trapped)
        return least if self.known.all() else np.full(len(least), np.nan)

    @property
    def failed(self) -> int:
        """Number of draws in which a scenario could not be solved."""
        both = zip(self.trapped, self.full, strict=True)
        return int(sum(np.isnan(one + other).any(axis=1).sum() for one, other in both))

    def together(self) -> tuple[FloatArray, FloatArray]:
        """Least ratio of every draw, with air in place and with full lines (draw,)."""
        trapped, full = (np.concatenate(parts) for parts in zip(*self.least, strict=True))
        return trapped, full

    def evaluate(self, probability: FloatArray) -> FloatArray:
        """Least ratio at stated probabilities of the inputs, over the scenarios that matter."""
        if not self.known.all():
            return np.full(len(probability), np.nan)
        draws = draws_from(self.swept.assembly, probability)
        joint = joint_result(self.swept, draws, together=True)
        return joint.least(np.ones(len(joint.rows), dtype=bool), trapped=True)

    def lines(self) -> tuple[LineSpread, ...]:
        """Judge every result line on all draws."""
        full, trapped = np.concatenate(self.full), np.concatenate(self.trapped)
        end, purpose = self._keys(self.swept.judged_rows)
        leaders = np.array(
            [
                self.swept.judged_rows[np.flatnonzero((end == one) & (purpose == other))[0]]
                for one, other in self.keys
            ]
        )
        pooled = replace(self.first, rows=leaders, full=full, trapped=trapped)
        engine = self.swept.assembly.system.engine
        found = []
        for line in judge_lines(self.swept, pooled):
            column = self._column(leaders, line)
            scale = engine.burn * engine.factor / line.required if self._climbs(line) else 1.0
            spread = spread_of(scale * trapped[:, column], scale * full[:, column])
            found.append(LineSpread(line=line, required=line.required, spread=spread))
        return tuple(found)

    def _climbs(self, line: ResultLine) -> bool:
        return str(self.swept.table.purpose[line.deciding]) == "climb"

    def _column(self, leaders: npt.NDArray[np.intp], line: ResultLine) -> int:
        table = self.swept.table
        same = (table.scenarios.end[leaders] == table.scenarios.end[line.deciding]) & (
            table.purpose[leaders] == table.purpose[line.deciding]
        )
        return int(np.flatnonzero(same)[0])


def spread_of(trapped: FloatArray, full: FloatArray) -> Spread:
    """Summarise the least ratios of some draws.

    Parameters
    ----------
    trapped, full : FloatArray (draw,)
        [-] Least ratio of flow to required in each draw, with air in place and with full lines.

    Returns
    -------
    Spread
        Sampling errors are those of independent draws, from the binomial law of the number of draws
        below a level: of a percentile half the distance between the ranks one standard deviation
        to each side; of the chance sqrt(p (1-p)/n), with one draw more on either side so that it is
        never nil. A Latin hypercube's are smaller.
    """
    count = len(trapped)
    nan = float("nan")
    if np.isnan(trapped).any() or np.isnan(full).any():
        return Spread(
            draws=count, low=nan, low_error=nan, middle=nan, middle_error=nan, high=nan,
            high_error=nan, chance=nan, chance_error=nan, full_high=nan,
        )  # fmt: skip
    values = np.sort(trapped)
    low, middle, high = (_percentile(values, share) for share in (LOW, MIDDLE, HIGH))
    met = int((trapped >= 1.0).sum())
    smoothed = (met + 1) / (count + 2)
    return Spread(
        draws=count,
        low=low[0],
        low_error=low[1],
        middle=middle[0],
        middle_error=middle[1],
        high=high[0],
        high_error=high[1],
        chance=met / count,
        chance_error=float(np.sqrt(smoothed * (1.0 - smoothed) / (count + 2))),
        full_high=percentile(full, HIGH),
    )


def _percentile(values: FloatArray, percent: float) -> tuple[float, float]:
    """Percentile of sorted values and its standard error; both infinite where it was not drawn."""
    share, count = percent / 100.0, len(values)
    away = np.sqrt(share * (1.0 - share) / count)
    below, above = (
        percentile(values, 100.0 * float(np.clip(level, 0.0, 1.0)))
        for level in (share - away, share + away)
    )
    found = percentile(values, percent)
    return found, 0.5 * (above - below) if math.isfinite(found) else found


def _convergence(trapped: FloatArray, full: FloatArray) -> tuple[Spread, ...]:
    """Spread on the first 512, 1024, 2048... draws and on all."""
    sizes = [512 * 2**step for step in range(30) if 512 * 2**step < len(trapped)]
    return tuple(spread_of(trapped[:size], full[:size]) for size in [*sizes, len(trapped)])


def _measure_first(study: _Study, shares: tuple[Share, ...]) -> tuple[Said, tuple[Said, ...]]:
    """Name the measurement that narrows the band most, and those as good as it.

    Among inputs that cannot be told apart it is the one that a check on the first batch names.
    """
    if not shares:
        return "", ()
    first = study.first
    least = first.least(np.ones(len(first.rows), dtype=bool), trapped=True)
    quick = shares_of(first.draws.inputs, first.draws.values, least)
    best = shares[0]
    if quick:
        named = next(item for item in shares if item.key == quick[0].key)
        runner_up = next((item for item in quick if item.key == best.key), quick[0])
        if named.measurement != best.measurement and even(quick[0], runner_up):
            best = named
    as_good = [
        item.measurement
        for item in shares
        if item.measurement != best.measurement and even(shares[0], item)
    ]
    return best.measurement, tuple(dict.fromkeys(as_good))

"""Which size of tube or hose is enough for some lines, and what is the limit where none is."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from flowsim.errors import DomainError
from flowsim.network.elements import PlacedPart
from flowsim.physics.air.trapped import surely_clearing_velocity
from flowsim.physics.attitude import effective_gravity
from flowsim.physics.losses.laws import loss_law
from flowsim.progress import Progress
from flowsim.studies.adequacy.brief import Brief, judge_briefly
from flowsim.studies.changes.resize import (
    FittingNamed,
    Resized,
    Size,
    fuel_held,
    resized,
    size_of,
    tube_mass,
)
from flowsim.studies.joint.study import joint_result
from flowsim.studies.result import Decision, ScenarioResult, Topic, Verdict
from flowsim.studies.review.remarks import assumptions, cautions
from flowsim.studies.sampling.draws import nominal_draws
from flowsim.studies.saying import Said, saying
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.decisions.gather import decisions_of
from flowsim.studies.verdict.judging import judge_lines
from flowsim.studies.verdict.overall import overall
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.parts import is_tube

NEARLY_NOTHING = 1e-6
"""[-] Factor on the loss of a part that is taken out; nothing at all would leave a line without a
law."""
WIDE = 10.0
"""[-] Factor on the bore of a tube that is taken out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeResult:
    """What one size gives.

    ``least`` [-] least ratio of flow to required over all judged scenarios on the cautious law with
    nominal values; ``least_low`` its 5th percentile over joint draws (None when not drawn).
    ``flow`` [kg/s], ``head_left`` [m] of the ``deciding`` scenario. ``clearing_flow`` [m3/s]
    carries air down the steepest falling leg of the lines (Wisner); NaN where none falls.
    ``decisions`` are all things that decide, flow or not: no size mends some of them.
    ``fuel_held`` [m3], ``mass`` [kg] of the tube. ``problem`` says why there is no result.
    """

    size: Size
    is_present: bool
    least: float
    least_low: float | None
    flow: float
    required: float
    head_left: float
    deciding: ScenarioResult | None
    meets_nominal: bool
    meets_low: bool | None
    verdict: Verdict
    verdict_words: str
    reasons: tuple[Said, ...]
    decisions: tuple[Decision, ...]
    clearing_flow: float
    fuel_held: float
    mass: float
    followed: tuple[FittingNamed, ...]
    stayed: tuple[FittingNamed, ...]
    remarks: tuple[Said, ...]
    problem: str

    @property
    def flow_is_enough(self) -> bool:
        """Whether all that decides on flow is adequate, whatever else is not."""
        flows = [d.verdict for d in self.decisions if d.topic is Topic.FLOW]
        return bool(flows) and all(verdict is Verdict.ADEQUATE for verdict in flows)


@dataclass(frozen=True, slots=True, kw_only=True)
class WithoutPart:
    """Least ratio [-] with one part taken out, nominal values."""

    part: Said
    least: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SizingResult:
    """The whole answer.

    ``smallest_nominal`` and ``smallest_low`` index ``sizes`` (None: no size helps); ``limit`` then
    lists the parts by what taking them out gives at the size that gives most, ``limit_at``.
    """

    title: str
    lines: tuple[str, ...]
    sizes: tuple[SizeResult, ...]
    smallest_nominal: int | None
    smallest_low: int | None
    limit_at: int | None
    limit: tuple[WithoutPart, ...]
    draws: int
    seed: int
    assumptions: tuple[Said, ...]
    cautions: tuple[Said, ...]


def size_lines(
    system: FuelSystem,
    lines: tuple[str, ...],
    sizes: tuple[Size, ...],
    *,
    nominal: bool,
    draws: int,
    seed: int,
    progress: Progress | None = None,
) -> SizingResult:
    """Try sizes in some lines, all of them alike, and judge each as ``check`` would.

    Parameters
    ----------
    system : FuelSystem
    lines : tuple of str
        Lines that get the size.
    sizes : tuple of Size
        What to try; the present size of the first line is added.
    nominal, draws, seed
        As in a check.
    progress : callable, optional

    Returns
    -------
    SizingResult
        Sizes by rising bore.

    Raises
    ------
    DomainError
        For a line that is not there, or no size at all.
    """
    known = {line.name: line for line in system.lines}
    if not lines or not set(lines) <= set(known):
        resized(system, lines or ("",), sizes[0] if sizes else Size("none", 0.008))
    present = size_of(known[lines[0]])
    others = [size for size in sizes if not _alike(size, present)]
    named = next((size.name for size in sizes if _alike(size, present)), None)
    if named is not None:
        present = replace(present, name=saying("sizing.as_it_is", named=named))
    tried = sorted([present, *others], key=lambda size: size.bore)
    found = []
    for number, size in enumerate(tried):
        if progress is not None:
            progress("trying sizes", number, len(tried))
        found.append(_try(system, lines, size, size is present, nominal, draws, seed))
    results = tuple(found)
    smallest_nominal = _first(results, lambda item: item.meets_nominal)
    smallest_low = None if nominal else _first(results, lambda item: bool(item.meets_low))
    limit_at: int | None = None
    limit: tuple[WithoutPart, ...] = ()
    if (smallest_nominal if nominal else smallest_low) is None:
        limit_at = _best(results)
        # Where the flow is enough and something else is not, no part is the limit.
        if limit_at is not None and not results[limit_at].flow_is_enough:
            limit = without_each_part(resized(system, lines, results[limit_at].size).system)
    brief = judge_briefly(system, nominal=True, draws=draws, seed=seed)
    return SizingResult(
        title=system.title,
        lines=lines,
        sizes=results,
        smallest_nominal=smallest_nominal,
        smallest_low=smallest_low,
        limit_at=limit_at,
        limit=limit,
        draws=0 if nominal else draws,
        seed=seed,
        assumptions=assumptions(system),
        cautions=cautions(brief.swept),
    )


def without_each_part(system: FuelSystem) -> tuple[WithoutPart, ...]:
    """Take out one part at a time and give the least ratio that is left, most helpful first.

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    tuple of WithoutPart
        Nominal values, over the judged scenarios that can decide. The kinetic energy at an open
        end is no part.
    """
    brief = judge_briefly(system, nominal=True, draws=0, seed=0)
    assembly = brief.swept.assembly
    network = assembly.network
    keys = list(
        dict.fromkeys(
            placed.key
            for placed in network.placed
            if loss_law(placed.part).tag(placed.part) is not None
        )
    )
    draws = nominal_draws(assembly, len(keys))
    column_of = {int(part): column for column, part in enumerate(network.pipes.part)}
    names = {}
    for index, placed in enumerate(network.placed):
        if placed.key not in keys:
            continue
        row = keys.index(placed.key)
        names[placed.key] = _name(placed)
        if index in column_of:
            draws.factors.bore[row, column_of[index]] = WIDE
        draws.factors.loss[row, index] = draws.factors.laminar[row, index] = NEARLY_NOTHING
    joint = joint_result(brief.swept, draws, together=True)
    least = joint.least(np.ones(len(joint.rows), dtype=bool), trapped=True)
    order = np.argsort(-np.nan_to_num(least, nan=-1.0), kind="stable")
    return tuple(WithoutPart(part=names[keys[i]], least=float(least[i])) for i in order)


def _name(placed: PlacedPart) -> Said:
    """Give a part's name for people, and that it is the tube itself."""
    if is_tube(placed.part) and placed.part.name == placed.owner:
        return saying("sizing.tube_of", owner=placed.owner)
    return placed.called


def _alike(one: Size, other: Size) -> bool:
    same_bore = abs(one.bore - other.bore) < 1e-7
    outside = (one.outside_diameter or 0.0) - (other.outside_diameter or 0.0)
    return same_bore and one.is_hose == other.is_hose and abs(outside) < 1e-7


def _first(results: tuple[SizeResult, ...], fits: Callable[[SizeResult], bool]) -> int | None:
    return next((index for index, item in enumerate(results) if fits(item)), None)


def _best(results: tuple[SizeResult, ...]) -> int | None:
    """Give the size that delivers most, None where none could be solved."""
    good = [index for index, item in enumerate(results) if np.isfinite(item.least)]
    return max(good, key=lambda index: results[index].least, default=None)


def _try(
    system: FuelSystem,
    lines: tuple[str, ...],
    size: Size,
    is_present: bool,
    nominal: bool,
    draws: int,
    seed: int,
) -> SizeResult:
    """Judge one size."""
    nan = float("nan")
    problem, changed, brief = "", Resized(system, (), (), ()), None
    try:
        # The present size is left as it is, also where the lines differ from one another.
        if not is_present or len(lines) > 1:
            changed = resized(system, lines, size)
        brief = judge_briefly(changed.system, nominal=nominal, draws=draws, seed=seed)
    except DomainError as error:
        problem = str(error)
    by_nominal = Verdict.CANNOT_TELL if brief is None else _nominal_verdict(brief)
    deciding = None if brief is None else brief.deciding()
    verdict = Verdict.CANNOT_TELL if brief is None else brief.overall.verdict
    return SizeResult(
        size=size,
        is_present=is_present,
        least=nan if brief is None else brief.least,
        least_low=None if brief is None else brief.least_low,
        flow=nan if deciding is None else deciding.flow,
        required=nan if deciding is None else deciding.required,
        head_left=nan if deciding is None else deciding.head_left,
        deciding=deciding,
        meets_nominal=by_nominal is Verdict.ADEQUATE,
        meets_low=None if nominal or brief is None else verdict is Verdict.ADEQUATE,
        verdict=verdict,
        verdict_words=verdict.value if brief is None else brief.overall.words,
        reasons=() if brief is None else brief.overall.reasons,
        decisions=() if brief is None else brief.decisions,
        clearing_flow=clearing_flow(system, lines, size.bore),
        fuel_held=fuel_held(system, lines, size),
        mass=tube_mass(system, lines, size),
        followed=changed.followed,
        stayed=changed.stayed,
        remarks=changed.remarks,
        problem=problem,
    )


def _nominal_verdict(brief: Brief) -> Verdict:
    """Judge a drawn brief on its nominal values."""
    if brief.joint is None:
        return brief.overall.verdict
    lines = judge_lines(brief.swept, None)
    verdict = overall(brief.swept, None, lines).verdict
    if verdict is not Verdict.ADEQUATE:
        return verdict
    decisions = decisions_of(Evidence(swept=brief.swept, joint=None, lines=lines))
    return overall(brief.swept, None, lines, decisions).verdict


def clearing_flow(system: FuelSystem, lines: tuple[str, ...], bore: float) -> float:
    """Flow that surely carries air down the steepest falling leg of some lines.

    Parameters
    ----------
    system : FuelSystem
    lines : tuple of str
    bore : float
        Bore of the lines [m].

    Returns
    -------
    float
        [m3/s]; the steepest leg over the level, climb and test attitudes. A line whose course is
        not known counts as vertical; NaN where no leg falls.
    """
    flight = system.flight
    pitches = np.array(
        [flight.level_pitch, flight.climb_pitch, flight.climb_pitch + flight.test_margin]
    )
    gravity = effective_gravity(pitches, np.zeros(3))
    steepest = 0.0
    for line in system.lines:
        if line.name not in lines:
            continue
        if line.route is None:
            steepest = 0.5 * np.pi
            continue
        points = np.array(line.route, dtype=np.float64)
        legs = np.diff(points, axis=0)
        fall = (legs @ gravity.T) / np.linalg.norm(legs, axis=1)[:, None]
        steepest = max(steepest, float(np.arcsin(np.clip(np.abs(fall).max(), 0.0, 1.0))))
    if steepest <= 0.0:
        return float("nan")
    return float(surely_clearing_velocity(bore, steepest)) * 0.25 * np.pi * bore**2

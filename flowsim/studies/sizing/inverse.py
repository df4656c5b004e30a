"""The other way round: how far one thing may change until the requirement is just met.

Each question is a root of "least ratio of flow to required, less one", found by bracketing
(Brent's method), never by trying steps.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from flowsim.errors import DomainError, UnsolvedError
from flowsim.network.assembly import Assembly, assemble
from flowsim.network.scenarios import situate
from flowsim.studies.adequacy.brief import judged_table, take_rows
from flowsim.studies.changes.changed_parts import is_named, named_parts, scaled, with_part
from flowsim.studies.changes.resize import Size, resized
from flowsim.studies.delivery.trapped_air import trapped_air
from flowsim.studies.joint.mirrored import one_of_each
from flowsim.studies.joint.study import joint_result
from flowsim.studies.judged.cover_doubt import doubtful_twins
from flowsim.studies.judged.scenarios import CLIMB, ScenarioTable
from flowsim.studies.judged.sweep import Sweep, deliver_fed, sweep_of
from flowsim.studies.review.remarks import assumptions, cautions
from flowsim.studies.sampling.draws import draw, nominal_draws
from flowsim.studies.saying import Said
from flowsim.studies.sizing.edge_search import Edge, find_edge, find_edge_by_few
from flowsim.studies.sizing.few_scenarios import MovedSurfaces, of_few, percentile
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import StatedLevel

LEAST_BORE, MOST_BORE = 0.001, 0.030
"""[m]"""
LEAST_FACTOR, MOST_FACTOR = 1e-3, 1e4
"""[-] On the loss of a part."""
HEAD_RANGE = 3.0
"""[m] How far the surface is raised or lowered."""
FEW, FEWER, MOST = 6, 4, 10_000
"""[-] Scenarios that are drawn at first where an edge is sought, by how many times more are where
others give less, and at most."""
SAME = 1e-9
"""[-] Ratios that differ by less are equal. No effect on the answer."""
STEEPEST = np.radians(60.0)
"""[rad]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgePair:
    """One question on nominal values, and at the 5th percentile (None when not asked)."""

    nominal: Edge
    band: Edge | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Remarks:
    """What is assumed in every edge of a system, and what its reader must be told."""

    assumptions: tuple[Said, ...]
    cautions: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """What an edge rests on: ``draws`` 0 for nominal values, else the 5th percentile of them.

    ``near`` is a value close to which the edge is likely to lie (that on nominal values), in the
    unit of the question; None where nothing is known. It saves time, and changes no answer.
    """

    draws: int
    seed: int
    near: float | None = None


def remarks_on(system: FuelSystem) -> Remarks:
    """List what is assumed and the cautions that a check of the system gives.

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    Remarks
    """
    return Remarks(assumptions=assumptions(system), cautions=cautions(_judged(system)))


def _judged(system: FuelSystem) -> Sweep:
    """Solve what a check judges, on nominal values."""
    assembly = assemble(system)
    return sweep_of(assembly, judged_table(assembly))


def least_bore(system: FuelSystem, lines: tuple[str, ...], basis: Basis) -> Edge:
    """Least bore [m] of some lines, all of them alike; their fittings as in ``resize``.

    Parameters
    ----------
    system : FuelSystem
    lines : tuple of str
    basis : Basis

    Returns
    -------
    Edge

    Raises
    ------
    DomainError
        For a line that is not there.
    """
    known = {line.name: line for line in system.lines}
    resized(system, lines, Size("check", 0.008))
    first = known[lines[0]]
    tightest = min((known[name].tightest_bend or MOST_BORE for name in lines), default=MOST_BORE)

    def at(bore: float) -> FuelSystem:
        size = Size("bore", bore, is_hose="hose" in first.material)
        return resized(system, lines, size).system

    question = _Question(
        "least bore", "m", first.bore, (LEAST_BORE, min(MOST_BORE, tightest)), meets_above=True,
        subject=", ".join(lines),
    )  # fmt: skip
    return _edge_of(at, question, basis)


def largest_loss(system: FuelSystem, part: str, basis: Basis) -> Edge:
    """Largest factor [-] on the loss of a named part (all of that name), 1 as it is.

    Parameters
    ----------
    system : FuelSystem
    part : str
        Name, or ``line: name``.
    basis : Basis

    Returns
    -------
    Edge

    Raises
    ------
    DomainError
        For a name that no part has, and for parts whose loss is not one number.
    """
    for _, found in named_parts(system, part):
        scaled(found, 1.0)

    def at(score: float) -> FuelSystem:
        factor = float(np.exp(score))
        return with_part(system, part, lambda _, old: scaled(old, factor))

    low, high = float(np.log(LEAST_FACTOR)), float(np.log(MOST_FACTOR))
    near = float(np.log(basis.near)) if basis.near is not None and basis.near > 0.0 else None
    question = _Question("largest loss", "", 0.0, (low, high), meets_above=False, subject=part)
    edge = _edge_of(at, question, replace(basis, near=near))
    return replace(
        edge, present=1.0, value=float(np.exp(edge.value)), low=LEAST_FACTOR, high=MOST_FACTOR
    )


def part_at(system: FuelSystem, part: str, factor: float) -> tuple[str, ...]:
    """Say the loss of the parts of a name at a factor, one text for each."""
    from flowsim.studies.changes.changed_parts import loss_words

    return tuple(
        f"{owner}: {loss_words(scaled(old, factor))}"
        for owner, old in named_parts(system, part)
        if is_named(owner, old, part)
    )


def least_head(system: FuelSystem, basis: Basis) -> Edge:
    """Change of head [m] from every surface to the end at which the requirement is just met.

    Negative: so much may be taken away (a lower tank, a lower surface). Positive: so much is
    missing. Only the head changes; attitude, lines and covered outlets stay as they are.

    Parameters
    ----------
    system : FuelSystem
    basis : Basis

    Returns
    -------
    Edge
    """
    swept = _judged(system)
    assembly = swept.assembly
    if swept.unsolved.any():
        raise UnsolvedError(
            f"change of head: {swept.unsolved.sum()} of the judged scenarios could not be solved "
            "as the case stands; see flowsim check"
        )
    draws = draw(assembly, basis.draws, basis.seed) if basis.draws else nominal_draws(assembly, 1)
    near = 0.0 if basis.near is None or np.isnan(basis.near) else basis.near
    moved = MovedSurfaces(swept, draws, near)
    limits = -HEAD_RANGE, HEAD_RANGE
    return find_edge_by_few(
        moved.few, moved.full, "change of head", "m", 0.0, limits, basis.near, meets_above=True
    )


def steepest_pitch(system: FuelSystem, basis: Basis) -> Edge:
    """Steepest climb pitch [rad] up to which, with the test margin on top, the requirement is met.

    An outlet that may be bare counts as bare.

    Parameters
    ----------
    system : FuelSystem
    basis : Basis

    Returns
    -------
    Edge
    """
    flight = system.flight

    def at(pitch: float) -> FuelSystem:
        return replace(system, flight=replace(flight, climb_pitch=pitch))

    question = _Question(
        "steepest climb", "rad", flight.climb_pitch, (flight.level_pitch, STEEPEST),
        meets_above=False, in_doubt=True,
    )  # fmt: skip
    return _edge_of(at, question, basis)


def least_fuel(system: FuelSystem, basis: Basis) -> Edge:
    """Least fuel [m3] in each tank, the same in all, with which the climb is still supplied.

    An outlet that may be bare counts as bare: the answer covers it surely.

    Parameters
    ----------
    system : FuelSystem
    basis : Basis

    Returns
    -------
    Edge
        The present value is the smallest quantity of the judged states.

    Raises
    ------
    DomainError
        When no tank has a quantity.
    """
    filled = [tank for tank in system.tanks if not isinstance(tank.shape, StatedLevel)]
    if not filled:
        raise DomainError("no tank of the case has a quantity: every level is stated")
    most = min(_most_fuel(tank.placarded_capacity, tank.least_takeoff) for tank in filled)

    def at(quantity: float) -> FuelSystem:
        tanks = tuple(
            tank
            if isinstance(tank.shape, StatedLevel)
            else replace(tank, unusable=quantity, least_takeoff=quantity)
            for tank in system.tanks
        )
        return replace(system, tanks=tanks, test_draw=0.0)

    present = min((tank.unusable or 0.0) + system.test_draw for tank in filled)
    question = _Question(
        "least fuel in each tank", "m3", present, (0.0, most), meets_above=True, only=CLIMB,
        in_doubt=True,
    )  # fmt: skip
    return _edge_of(at, question, basis)


@dataclass(frozen=True, slots=True)
class _Question:
    """What is asked, as ``find_edge`` takes it, and of which judged scenarios."""

    asked: str
    unit: str
    present: float
    limits: tuple[float, float]
    meets_above: bool
    subject: str = ""
    only: str | None = None
    in_doubt: bool = False


def _edge_of(at: Callable[[float], FuelSystem], question: _Question, basis: Basis) -> Edge:
    """Find where the least ratio of the system at a value passes one.

    In draws mostly by the few scenarios that give least on nominal values.
    """
    count, only, in_doubt = FEW, question.only, question.in_doubt

    def few(value: float) -> float:
        some = count if basis.draws else 0
        return least_ratio(at(value), basis, only, in_doubt=in_doubt, few=some)

    def full(value: float) -> float:
        nonlocal count
        system = at(value)
        every = least_ratio(system, basis, only, in_doubt=in_doubt)
        while count < MOST:
            some = least_ratio(system, basis, only, in_doubt=in_doubt, few=count)
            if not some > every + SAME:
                break
            count *= FEWER
        return every

    given = question.asked, question.unit, question.present, question.limits, basis.near
    above, subject = question.meets_above, question.subject
    if not basis.draws:
        return find_edge(few, *given, meets_above=above, subject=subject)
    return find_edge_by_few(few, full, *given, meets_above=above, subject=subject)


def least_ratio(
    system: FuelSystem,
    basis: Basis,
    only: str | None = None,
    *,
    in_doubt: bool = False,
    few: int = 0,
) -> float:
    """Least ratio of flow to required over the judged scenarios [-], nominal or 5th percentile.

    Parameters
    ----------
    system : FuelSystem
    basis : Basis
    only : str, optional
        A purpose of ``judged_set``; all if not given.
    in_doubt : bool
        Whether outlets that may be covered or bare are taken the other way too, as ``check`` does:
        for questions whose answer sets how much fuel stands over them.
    few : int
        In draws only so many scenarios, those that give least on nominal values: no less than
        over all. 0 for all.

    Returns
    -------
    float
        NaN where a scenario could not be solved.
    """
    assembly = assemble(system)
    table = judged_table(assembly)
    if only is not None:
        table = take_rows(table, np.flatnonzero(table.purpose == only))
    if not basis.draws:
        return _nominal_ratio(assembly, table, in_doubt=in_doubt)
    swept = [sweep_of(assembly, table)]
    twins = doubtful_twins(assembly, table, swept[0].situation) if in_doubt else None
    if twins is not None:
        swept.append(sweep_of(assembly, twins))
    if any(one.unsolved.any() for one in swept):
        return float("nan")
    draws = draw(assembly, basis.draws, basis.seed)
    if few:
        return percentile(np.column_stack([of_few(one, draws, few) for one in swept]))
    drawn = [joint_result(one, draws, together=True).trapped for one in swept]
    return percentile(np.concatenate(drawn, axis=1))


def _nominal_ratio(assembly: Assembly, table: ScenarioTable, *, in_doubt: bool) -> float:
    """Least ratio of judged scenarios on nominal values, without all else that a sweep finds."""
    tables = [table]
    if in_doubt:
        twins = doubtful_twins(assembly, table, situate(assembly, table.scenarios))
        tables += [] if twins is None else [twins]
    least = []
    for each in tables:
        some = one_of_each(assembly, each, None)
        situation = situate(assembly, some.scenarios)
        full = deliver_fed(assembly, some, situation)
        air_free = np.minimum(full.deliverable, trapped_air(assembly, situation, full).flow)
        least.append((air_free * situation.density / some.required).min())
    return float(np.min(least))


def _most_fuel(capacity: float | None, takeoff: float | None) -> float:
    known = [value for value in (capacity, takeoff) if value is not None]
    if not known:
        raise DomainError("a tank has neither a capacity nor a least take-off fuel")
    return 0.95 * max(known)

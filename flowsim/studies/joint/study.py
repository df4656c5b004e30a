"""Joint draws: the least margin of all judged scenarios within each draw.

Which scenarios are drawn: docs/theory/uncertainty.md, "What is not drawn, and why".
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.measures import FAR_ENOUGH
from flowsim.physics.arrays import FloatArray
from flowsim.progress import Progress
from flowsim.studies.joint.cautious_bound import cautious_ratios
from flowsim.studies.joint.drawn import Least, drawn_pairs
from flowsim.studies.joint.group import Found, ScenarioGroup
from flowsim.studies.joint.mirrored import alike_scenarios
from flowsim.studies.joint.proof import Proof
from flowsim.studies.judged.scenarios import DESCENT, RUN, UNUSABLE, ScenarioTable
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.sampling.draws import Draws

EASILY_SHOWN = 0.4
"""[-] Of what such a purpose gives on nominal values: so much can be shown of all its scenarios at
once. Less flow is not shown more easily, for fuel then runs from tank to tank. No effect on the
answer."""
SURELY_MORE = 2.5
"""[-] Times ``FAR_ENOUGH``: what gives more on nominal values mostly gives enough with every band
at its cautious end, which is quicker to see. No effect on the answer."""
TO_FAR_ENOUGH = (DESCENT, RUN, UNUSABLE)
"""Purposes that are worked out so far and no farther."""
MOST_TOGETHER = 4096
"""[-] Draws that are settled together; more are taken in parts, so that the memory stays bounded.
What is the least in a draw does not hang on the others."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JointResult:
    """Ratios of flow to required (draw, scenario) for the scenarios ``rows`` of the table.

    ``full`` with lines full of fuel, ``trapped`` with uncleared humps holding air. NaN where a
    solve failed; infinite where a scenario is known not to be the least in a draw, and no more.
    ``far``: ends and purposes that were worked out up to ``FAR_ENOUGH``.
    """

    rows: npt.NDArray[np.intp]
    full: FloatArray
    trapped: FloatArray
    draws: Draws
    far: frozenset[tuple[int, str]] = frozenset()

    @property
    def complete(self) -> npt.NDArray[np.bool_]:
        """Tell which scenarios are known in every draw (scenario,)."""
        partly = np.isinf(self.full) | np.isinf(self.trapped)
        return np.asarray(~partly.any(axis=0))

    def least(self, chosen: npt.NDArray[np.bool_], *, trapped: bool) -> FloatArray:
        """Least ratio of the chosen scenarios within each draw (draw,); NaN if none is chosen."""
        ratio = self.trapped if trapped else self.full
        if not chosen.any():
            return np.full(len(ratio), np.nan)
        least: FloatArray = ratio[:, chosen].min(axis=1)
        return least

    def least_of(
        self, table: ScenarioTable, end: int, purpose: str, *, trapped: bool
    ) -> FloatArray:
        """Least ratio of an end and purpose within each draw (draw,) [-].

        NaN if none was drawn; infinite where it is ``FAR_ENOUGH`` or more and was not worked out.
        """
        mine = (table.scenarios.end[self.rows] == end) & (table.purpose[self.rows] == purpose)
        least = self.least(mine, trapped=trapped)
        if (end, purpose) not in self.far:
            return least
        if not mine.any():
            return np.full(len(least), np.inf)
        return np.where(least >= FAR_ENOUGH, np.inf, least)


def joint_result(
    sweep: Sweep,
    draws: Draws,
    progress: Progress | None = None,
    *,
    together: bool = False,
    only: npt.NDArray[np.intp] | None = None,
    known: Least | None = None,
) -> JointResult:
    """Find the least ratio within each draw, for every end and purpose.

    Scenarios are drawn from the lowest nominal ratio upwards. One is left out only where it is
    proven that it is in no draw less than one that was drawn (``flowsim.studies.joint.proof``), so
    that the least of all judged scenarios is the least of the drawn ones. Purposes that ask for the
    burn alone are drawn where they may give less than ``FAR_ENOUGH``, or than the others. Scenarios
    that could not be solved on nominal values are left out too: whoever asks must look at
    ``Sweep.unsolved``.

    Parameters
    ----------
    sweep : Sweep
    draws : Draws
    progress : callable, optional
        Called with a word, how many scenarios are settled, and how many there are.
    together : bool
        Only the least of all is asked for, not that of every end and purpose.
    only : (n,), optional
        Rows of the sweep's table, judged ones, among which the least is looked for; else all.
    known : Least, optional
        What others give in these draws: only what may give less is drawn.

    Returns
    -------
    JointResult
        The scenarios that were drawn; none of them where ``known`` is less everywhere.
    """
    starts = range(0, draws.count, MOST_TOGETHER)
    if len(starts) == 1:
        return _settled(sweep, draws, progress, together=together, only=only, known=known)
    parts = []
    for number, start in enumerate(starts):
        which = np.arange(start, min(start + MOST_TOGETHER, draws.count))
        some, least = draws.take(which), None if known is None else known.take(which)
        shown = None if progress is None else _part_of(progress, number, len(starts))
        parts.append(_settled(sweep, some, shown, together=together, only=only, known=least))
    return _joined(parts, draws)


def _part_of(progress: Progress, number: int, parts: int) -> Progress:
    """Show one of several parts of the work as a part."""
    return lambda word, done, whole: progress(word, number * whole + done, parts * whole)


def _joined(parts: list[JointResult], draws: Draws) -> JointResult:
    """Join the draws of several results; what one of them did not draw is infinite there."""
    rows = np.unique(np.concatenate([part.rows for part in parts]))
    full = np.full((draws.count, len(rows)), np.inf)
    trapped, start = full.copy(), 0
    for part in parts:
        mine = slice(start, start + part.draws.count)
        columns = np.searchsorted(rows, part.rows)
        full[mine, columns], trapped[mine, columns] = part.full, part.trapped
        start = mine.stop
    return JointResult(rows=rows, full=full, trapped=trapped, draws=draws, far=parts[0].far)


def _settled(
    sweep: Sweep,
    draws: Draws,
    progress: Progress | None,
    *,
    together: bool,
    only: npt.NDArray[np.intp] | None,
    known: Least | None,
) -> JointResult:
    rows, table = sweep.judged_rows, sweep.table
    order = _in_order(sweep, draws, only)
    proof = Proof(sweep, draws)
    found: Found = {}
    groups = {None: order} if together else _groups(table, rows, order)
    done, far = 0, set()
    if progress is not None:
        progress("drawing", 0, len(order))
    for key, everyone in groups.items():
        members, asked = everyone, known
        if key is not None and known is None and key[1] in TO_FAR_ENOUGH:
            nominal = float(sweep.ratio[rows[everyone]].min())
            asked = _far_enough(found, draws, nominal)
            members = _not_surely(sweep, everyone, _far_enough(found, draws, 0.0), nominal)
            far.add(key)
        done += len(everyone) - len(members)
        if not len(members):
            continue
        group = ScenarioGroup(sweep, draws, proof, members, found, asked)
        for _ in group.settle():
            if progress is not None:
                progress("drawing", done + len(members) - len(group.pending), len(order))
        done += len(members)
    if progress is not None:
        progress("drawing", len(order), len(order))
    return _result(found, draws, frozenset(far))


def _far_enough(found: Found, draws: Draws, nominal: float) -> Least:
    """Give how far a purpose is worked out in each draw: no less far than any that was ``found``.

    The least of all is then still that of all. ``nominal`` is the purpose's own least ratio.
    """
    far = max(FAR_ENOUGH, EASILY_SHOWN * nominal)
    least = np.full((2, draws.count), far)
    if found:
        known = np.min(list(found.values()), axis=0)
        least = np.fmax(least, np.where(np.isfinite(known), known, far))
    return Least(full=least[0], trapped=least[1])


def _not_surely(
    sweep: Sweep, members: npt.NDArray[np.intp], asked: Least, nominal: float
) -> npt.NDArray[np.intp]:
    """Give the scenarios that do not surely give what is asked: with every band at its end."""
    if nominal < SURELY_MORE * FAR_ENOUGH:
        return members
    most = max(float(asked.full.max()), float(asked.trapped.max()))
    return members[~(cautious_ratios(sweep, sweep.judged_rows[members], most) > most)]


def _in_order(
    sweep: Sweep, draws: Draws, only: npt.NDArray[np.intp] | None
) -> npt.NDArray[np.intp]:
    """Give the solved judged scenarios by their nominal ratio, one of those that are alike."""
    rows = sweep.judged_rows
    ratio = np.minimum(sweep.ratio[rows], sweep.trapped_ratio)
    solved = np.isfinite(ratio)
    if only is not None:
        solved &= np.isin(rows, only)
    among = np.flatnonzero(solved)
    _, first = np.unique(alike_scenarios(sweep, draws)[among], return_index=True)
    among = among[first]
    return among[np.lexsort((among, sweep.ratio[rows[among]], ratio[among]))]


def _groups(
    table: ScenarioTable, rows: npt.NDArray[np.intp], order: npt.NDArray[np.intp]
) -> dict[tuple[int, str] | None, npt.NDArray[np.intp]]:
    """Give the judged scenarios of each end and purpose, in the given order.

    First those that are worked out whatever they give.
    """
    found: dict[tuple[int, str] | None, npt.NDArray[np.intp]] = {}
    purposes = np.unique(table.purpose[rows]).tolist()
    for purpose in sorted(purposes, key=lambda one: (one in TO_FAR_ENOUGH, one)):
        for end in np.unique(table.scenarios.end[rows]).tolist():
            mine = (table.purpose[rows] == purpose) & (table.scenarios.end[rows] == end)
            if mine[order].any():
                found[int(end), str(purpose)] = order[mine[order]]
    return found


def _result(found: Found, draws: Draws, far: frozenset[tuple[int, str]]) -> JointResult:
    """Give what was drawn, in the order of the table."""
    rows = sorted(found)
    empty = np.empty((draws.count, 0))
    return JointResult(
        rows=np.array(rows, dtype=np.intp),
        full=np.column_stack([empty, *(found[row][0] for row in rows)]),
        trapped=np.column_stack([empty, *(found[row][1] for row in rows)]),
        draws=draws,
        far=far,
    )


def joint_ratios(sweep: Sweep, rows: npt.NDArray[np.intp], draws: Draws) -> JointResult:
    """Solve the scenarios ``rows`` in every draw, all of them and whatever they give.

    Parameters
    ----------
    sweep : Sweep
    rows : (n,)
        Rows of the sweep's table, judged ones.
    draws : Draws

    Returns
    -------
    JointResult
    """
    full = np.full((draws.count, len(rows)), np.nan)
    trapped = full.copy()
    for column, row in enumerate(rows):
        alike = np.full(draws.count, row)
        full[:, column], trapped[:, column] = drawn_pairs(sweep, alike, draws)
    return JointResult(rows=rows, full=full, trapped=trapped, draws=draws)

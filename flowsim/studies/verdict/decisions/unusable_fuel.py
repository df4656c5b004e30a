"""The declared unusable fuel and the least take-off fuel, against what must arrive on them.

The same trials as in the study of unusable fuel, on nominal values and in the same joint draws, at
the declared quantities instead of a search.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly, selector_words
from flowsim.network.scenarios import END_NAMES
from flowsim.physics.air.dips import DIP_CAUTIOUS, DIP_EXPECTED
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.studies.judged.flight_attitudes import RUN, Attitudes, attitudes_of
from flowsim.studies.result import UNSOLVED_REMEDY, Decision, Topic, Verdict
from flowsim.studies.sampling.draws import Draws
from flowsim.studies.saying import NOTHING, Said, each_of, saying
from flowsim.studies.unusable.bands import DECIDING
from flowsim.studies.unusable.drawn import HIGH, LOW, DrawnTrials
from flowsim.studies.unusable.rows import (
    AIR,
    BURN,
    DOUBT,
    FLOW,
    REQUIRED,
    Emptying,
    Trials,
    build_rows,
    emptyings,
)
from flowsim.studies.unusable.study import TOO_SMALL
from flowsim.studies.unusable.table import LARGE_SHARE
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import NOT_SOLVED, pitch_said


@dataclass(frozen=True, slots=True)
class _Demand:
    """What must arrive (``kind``) on ``held`` (tank,) [m3], in flight or in the take-off run."""

    kind: int
    held: FloatArray
    running: bool = False


@dataclass(frozen=True, slots=True)
class _Asked:
    """Rows of the trials that are asked for, what the emptied tanks hold, and what was found.

    ``quantity`` (row, tank) [m3]; ``fine`` (row, criterion) on nominal values.
    """

    rows: npt.NDArray[np.intp]
    quantity: FloatArray
    fine: BoolArray


@dataclass(frozen=True, slots=True)
class _Answer:
    """The verdict, the worst row and the criterion that failed there."""

    verdict: Verdict
    row: int
    criterion: int
    line: bool


@dataclass(frozen=True, slots=True)
class _Enough:
    """In how many of the ``draws`` a quantity is enough, and the row that is lost in most."""

    count: int
    draws: int
    row: int
    failed: int

    @property
    def words(self) -> Said:
        """The share of the draws, never rounded up."""
        if self.failed:
            return saying(
                "unusable_fuel.no_result_solve_failed", failed=self.failed, draws=self.draws
            )
        return saying(
            "unusable_fuel.joint_draws", count=100 * self.count // self.draws, draws=self.draws
        )

    def reaches(self, share: float) -> bool:
        """Whether it is enough in that share of the draws; not where one failed."""
        return not self.failed and self.count >= math.ceil(share * self.draws - 1e-9)


class _Tried:
    """The trials of one system in its judged positions, without slips."""

    def __init__(self, assembly: Assembly, ways: tuple[Emptying, ...], draws: Draws | None) -> None:
        self.assembly, self.ways = assembly, ways
        self.attitudes = _some(attitudes_of(assembly.system))
        self.rows = build_rows(assembly, self.attitudes, ways, (REQUIRED, BURN))
        self.trials = Trials(assembly, self.attitudes, ways, self.rows)
        self.drawn = None if draws is None else DrawnTrials(self.trials, draws)
        kind = np.array(self.attitudes.kind)
        self.running = kind[self.rows.attitude] == RUN

    def asked(self, *demands: _Demand) -> tuple[_Asked, ...]:
        """Rows of demands with the cautious dip, all tried at once."""
        cautious = self.rows.times == DIP_CAUTIOUS
        rows = [
            np.flatnonzero(cautious & (self.rows.kind == one.kind) & (self.running == one.running))
            for one in demands
        ]
        held = [np.tile(one.held, (len(some), 1)) for one, some in zip(demands, rows, strict=True)]
        return self._tried(rows, held)

    def _tried(
        self, rows: Sequence[npt.NDArray[np.intp]], held: Sequence[FloatArray]
    ) -> tuple[_Asked, ...]:
        fine = self._fine(np.concatenate(rows), np.concatenate(held))
        parts = np.split(fine, np.cumsum([len(some) for some in rows])[:-1])
        return tuple(map(_Asked, rows, held, parts))

    def answer(self, asked: tuple[_Asked, ...]) -> _Answer | None:
        """Try with the cautious dip; what fails, with the expected one. None where all is fine."""
        rows = np.concatenate([item.rows for item in asked])
        held = np.concatenate([item.quantity for item in asked])
        fine = np.concatenate([item.fine for item in asked])
        lost = np.flatnonzero(~(fine[:, FLOW] & fine[:, DOUBT]))
        if not len(lost):
            return None
        expected = self._fine(self._expected(rows[lost]), held[lost])
        firm = np.flatnonzero(~(expected[:, FLOW] & expected[:, AIR]))
        failed = bool(self.trials.failed.any())
        if not len(firm):
            criterion = FLOW if not fine[lost[0], FLOW] else DOUBT
            return _Answer(Verdict.CANNOT_TELL, int(rows[lost[0]]), criterion, line=False)
        small = self._small(self._expected(rows[lost[firm]]), held[lost[firm]])
        # Where the line is too small somewhere, more fuel is no remedy anywhere.
        first = int(firm[np.argmax(small)])
        row = int(self._expected(rows[lost])[first])
        verdict = Verdict.CANNOT_TELL if failed else Verdict.NOT_ADEQUATE
        criterion = FLOW if not expected[first, FLOW] else AIR
        return _Answer(verdict, row, criterion, bool(small.any()))

    def _fine(self, rows: npt.NDArray[np.intp], held: FloatArray) -> BoolArray:
        return self.trials.at_demand(rows, held)

    def _expected(self, rows: npt.NDArray[np.intp]) -> npt.NDArray[np.intp]:
        """Give the same rows with the expected dip: each stands before its cautious one."""
        beside = rows - 1
        assert (self.rows.times[beside] == DIP_EXPECTED).all()
        return beside

    def _small(self, rows: npt.NDArray[np.intp], held: FloatArray) -> BoolArray:
        """Tell where more fuel, up to a large share of a tank, does not help: the line's fault."""
        more = np.maximum(held, LARGE_SHARE * self.trials.most)
        return np.asarray(~self._fine(rows, more)[:, FLOW])

    def enough(self, asked: tuple[_Asked, ...], *, expected: bool = False) -> _Enough | None:
        """Give the share of the draws in which the quantities are enough; None on nominal values.

        The least over the demands and the tanks, as the study gives it for each of them.
        """
        if self.drawn is None:
            return None
        if expected:
            rows = [self._expected(item.rows) for item in asked]
            asked = self._tried(rows, [item.quantity for item in asked])
        criteria = (FLOW, AIR if expected else DOUBT)
        found = [self._enough(self.drawn, item, criteria) for item in asked]
        known = [item for item in found if item is not None]
        return min(known, key=lambda item: item.count, default=None)

    def _enough(
        self, drawn: DrawnTrials, asked: _Asked, criteria: tuple[int, int]
    ) -> _Enough | None:
        rows = asked.rows
        if not len(rows):
            return None
        held = np.tile(asked.quantity[0], (drawn.count, 1))
        emptied = self.trials.emptied[self.rows.emptying[rows]]
        hard: BoolArray = ~np.asarray(asked.fine[:, list(criteria)].all(axis=1))
        place, lost = drawn.lost(rows, held, criteria, emptied, hard)
        least = _Enough(drawn.count, drawn.count, int(rows[0]), int(drawn.failed.sum()))
        for tank in range(len(self.trials.most)):
            count = drawn.count - int(lost[:, tank].sum())
            if count < least.count:
                mine = place[emptied[place, tank]]
                row = int(rows[np.bincount(mine).argmax()])
                least = replace(least, count=count, row=row)
        return least

    def where(self, row: int) -> Said:
        """Say in which situation a row is."""
        table, attitudes = self.rows, self.attitudes
        way = self.ways[int(table.emptying[row])]
        attitude = int(table.attitude[row])
        return saying(
            "unusable_fuel.where",
            selector=selector_words(self.assembly.positions[way.position].name),
            pitch=pitch_said(attitudes.pitch[attitude]),
            kind=attitudes.kind[attitude],
            temperature=table.temperature[row],
            end=END_NAMES[int(table.end[row])],
        )

    def tanks(self, row: int) -> Said:
        """Name the tanks that a row empties."""
        names = [tank.name for tank in self.assembly.system.tanks]
        way = self.ways[int(self.rows.emptying[row])]
        tanks = tuple(names[tank] for tank in way.tanks)
        if not way.dry:
            return saying("unusable_fuel.tanks", tanks=tanks)
        dry = tuple(names[tank] for tank in way.dry)
        return saying("unusable_fuel.tanks_and_dry", tanks=tanks, dry=dry)


def unusable_fuel(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide whether the declared unusable fuel, and the least take-off fuel, hold.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        Two, with screens at 20 % clear. On the declared unusable fuel the burn
        must arrive, and with what the test draws on top the required flow; on the least take-off
        fuel the required flow, and the burn in the take-off run. Not adequate where it does not
        with the expected dip of the surface, cannot tell where it does not with the cautious one
        or air may be drawn; so on nominal values, and in more than 95 and 5 % of the draws. Empty
        where no tank with a quantity feeds the engine directly.
    """
    assembly = evidence.swept.assembly
    ways = tuple(way for way in emptyings(assembly) if assembly.positions[way.position].judged)
    if not ways:
        return ()
    joint = evidence.joint
    tried = _Tried(assembly, ways, None if joint is None else joint.draws)
    tanks = assembly.system.tanks
    declared = np.array([tank.unusable or 0.0 for tank in tanks])
    takeoff = np.array([tank.least_takeoff or 0.0 for tank in tanks])
    asked = tried.asked(
        _Demand(BURN, declared),
        _Demand(REQUIRED, declared + assembly.system.test_draw),
        _Demand(REQUIRED, takeoff),
        _Demand(BURN, takeoff, running=True),
    )
    return (
        _decision(
            tried,
            Topic.UNUSABLE_FUEL,
            saying("unusable_fuel.unusable_fuel_declared"),
            asked[:2],
            saying("unusable_fuel.burn_arrives_required_flow"),
            "unusable",
        ),
        _decision(
            tried,
            Topic.LEAST_TAKEOFF_FUEL,
            saying("unusable_fuel.least_take_off_fuel"),
            asked[2:],
            saying("unusable_fuel.required_flow_arrives_burn"),
            "least_takeoff",
        ),
    )


def _some(attitudes: Attitudes) -> Attitudes:
    """Keep wings level, turns and the take-off run."""
    kind = np.array(attitudes.kind)
    keep = np.flatnonzero(np.isin(kind, [*DECIDING, RUN]))
    return Attitudes(
        gravity=attitudes.gravity[keep],
        pitch=attitudes.pitch[keep],
        lean=attitudes.lean[keep],
        kind=tuple(str(word) for word in kind[keep]),
    )


def _decision(
    tried: _Tried, topic: Topic, name: Said, asked: tuple[_Asked, ...], fine: Said, key: str
) -> Decision:
    answer = tried.answer(asked)
    settled = answer is not None and answer.verdict is Verdict.NOT_ADEQUATE
    share = None if settled else tried.enough(asked)  # draws cannot make it worse
    often = None if share is None else saying("unusable_fuel.often", share=share.words)
    if answer is None and (share is None or share.reaches(HIGH)):
        found = saying(
            "unusable_fuel.enough", fine=fine, often=often, dipping=_dipping(DIP_CAUTIOUS)
        )
        return Decision(topic=topic, name=name, verdict=Verdict.ADEQUATE, found=found)
    more = saying("unusable_fuel.declare_more_much_flowsim", key=key)
    words: Said = NOTHING
    verdict, remedy = Verdict.CANNOT_TELL, more
    if answer is not None:
        verdict, words = answer.verdict, _lost(tried, answer)
        remedy = saying("unusable_fuel.wider_line_less_loss") if answer.line else more
        if tried.trials.failed[answer.row]:
            return Decision(
                topic=topic, name=name, verdict=Verdict.CANNOT_TELL, found=words,
                remedy=UNSOLVED_REMEDY,
            )  # fmt: skip
    elif share is not None:
        words = saying(
            "unusable_fuel.tank_not_enough",
            tanks=tried.tanks(share.row),
            where=tried.where(share.row),
        )
    if share is not None:
        words = saying(
            "unusable_fuel.enough_wanted",
            words=words,
            often=often,
            high=HIGH,
            dipping=_dipping(DIP_CAUTIOUS),
        )
        if _never(tried, asked, share):
            verdict = Verdict.NOT_ADEQUATE
    return Decision(topic=topic, name=name, verdict=verdict, found=words, remedy=remedy)


def _never(tried: _Tried, asked: tuple[_Asked, ...], share: _Enough) -> bool:
    """Whether even with the expected dip it is enough in fewer than 5 % of the draws."""
    if share.failed or share.reaches(LOW):
        return False
    expected = tried.enough(asked, expected=True)
    return expected is not None and not expected.failed and not expected.reaches(LOW)


def _dipping(times: float) -> Said:
    return saying("unusable_fuel.surface_dipping_times_deep", times=times)


def _lost(tried: _Tried, answer: _Answer) -> Said:
    """Say what is lost on nominal values, and where."""
    if tried.trials.failed[answer.row]:
        return saying(
            "unusable_fuel.tank",
            tanks=tried.tanks(answer.row),
            not_solved=NOT_SOLVED,
            where=tried.where(answer.row),
        )
    burn = tried.rows.kind[answer.row] == BURN
    demand = saying("unusable_fuel.burn" if burn else "unusable_fuel.required_flow")
    says = {
        FLOW: saying("unusable_fuel.does_not_arrive", demand=demand),
        AIR: saying("unusable_fuel.air_drawn", demand=demand),
        DOUBT: saying("unusable_fuel.air_may_drawn", demand=demand),
    }
    dipping = None
    if answer.verdict is Verdict.CANNOT_TELL and answer.criterion != AIR:
        times = tried.rows.times[answer.row]
        dipping = saying("unusable_fuel.with_the_dipping", dipping=_dipping(times))
    words = saying(
        "unusable_fuel.lost",
        tanks=tried.tanks(answer.row),
        says=says[answer.criterion],
        dipping=dipping,
        where=tried.where(answer.row),
    )
    return each_of([words, TOO_SMALL]) if answer.line else words

"""The declared unusable fuel and the least take-off fuel, against what must arrive on them.

The same trials as in the study of unusable fuel, at the declared quantities instead of a search.
Turns without slip are left to the study: such a turn acts like wings level at a pitch between level
flight and its own, with more weight.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.measures import TEMPERATURE
from flowsim.network.assembly import Assembly, selector_words
from flowsim.network.scenarios import END_NAMES
from flowsim.physics.air.dips import DIP_CAUTIOUS, DIP_EXPECTED
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.studies.judged.flight_attitudes import LEVEL, RUN, Attitudes, attitudes_of
from flowsim.studies.result import Decision, Topic, Verdict
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
from flowsim.studies.verdict.judging import pitch_said

MORE = "declare more ({key}), as much as `flowsim unusable` works out, or keep the outlets covered"


@dataclass(frozen=True, slots=True)
class _Asked:
    """Rows of the trials that are asked for, and what the emptied tanks hold (row, tank) [m3]."""

    rows: npt.NDArray[np.intp]
    quantity: FloatArray


@dataclass(frozen=True, slots=True)
class _Answer:
    """The verdict, the worst row and the criterion that failed there."""

    verdict: Verdict
    row: int
    criterion: int
    line: bool


class _Tried:
    """The trials of one system in its judged positions, wings level and in the take-off run."""

    def __init__(self, assembly: Assembly, ways: tuple[Emptying, ...]) -> None:
        self.assembly, self.ways = assembly, ways
        self.attitudes = _some(attitudes_of(assembly.system))
        self.rows = build_rows(assembly, self.attitudes, ways, (REQUIRED, BURN))
        self.trials = Trials(assembly, self.attitudes, ways, self.rows)
        kind = np.array(self.attitudes.kind)
        self.running = kind[self.rows.attitude] == RUN

    def asked(self, kind: int, held: FloatArray, *, running: bool = False) -> _Asked:
        """Rows of one demand with the cautious dip, wings level or in the take-off run."""
        chosen = (self.rows.kind == kind) & (self.rows.times == DIP_CAUTIOUS)
        rows = np.flatnonzero(chosen & (self.running == running))
        return _Asked(rows, np.tile(held, (len(rows), 1)))

    def answer(self, asked: tuple[_Asked, ...]) -> _Answer | None:
        """Try with the cautious dip; what fails, with the expected one. None where all is fine."""
        rows = np.concatenate([item.rows for item in asked])
        held = np.concatenate([item.quantity for item in asked])
        fine = self._fine(rows, held)
        lost = np.flatnonzero(~(fine[:, FLOW] & fine[:, DOUBT]))
        if not len(lost):
            return None
        expected = self._fine(self._expected(rows[lost]), held[lost])
        firm = np.flatnonzero(~(expected[:, FLOW] & expected[:, AIR]))
        failed = bool(self.trials.failed.any())
        if not len(firm):
            criterion = FLOW if not fine[lost[0], FLOW] else DOUBT
            return _Answer(Verdict.CANNOT_TELL, int(rows[lost[0]]), criterion, line=False)
        first = int(firm[0])
        row = int(self._expected(rows[lost])[first])
        verdict = Verdict.CANNOT_TELL if failed else Verdict.NOT_ADEQUATE
        criterion = FLOW if not expected[first, FLOW] else AIR
        return _Answer(verdict, row, criterion, self._line(row, held[lost][first]))

    def _fine(self, rows: npt.NDArray[np.intp], held: FloatArray) -> BoolArray:
        return self.trials.at_demand(rows, held)

    def _expected(self, rows: npt.NDArray[np.intp]) -> npt.NDArray[np.intp]:
        """Give the same rows with the expected dip: each stands before its cautious one."""
        beside = rows - 1
        assert (self.rows.times[beside] == DIP_EXPECTED).all()
        return beside

    def _line(self, row: int, held: FloatArray) -> bool:
        """Whether more fuel, up to a large share of the tank, does not help: the line's fault."""
        more = np.maximum(held, LARGE_SHARE * self.trials.most)
        return not bool(self._fine(np.array([row]), more[None, :])[0, FLOW])

    def where(self, row: int) -> str:
        """Say in which situation a row is."""
        table, attitudes = self.rows, self.attitudes
        way = self.ways[int(table.emptying[row])]
        attitude = int(table.attitude[row])
        return (
            f"{selector_words(self.assembly.positions[way.position].name)}, "
            f"{pitch_said(attitudes.pitch[attitude])}, {attitudes.kind[attitude]}, "
            f"{TEMPERATURE.words(table.temperature[row], 0)}, {END_NAMES[int(table.end[row])]}"
        )

    def tanks(self, row: int) -> str:
        """Name the tanks that a row empties."""
        names = [tank.name for tank in self.assembly.system.tanks]
        way = self.ways[int(self.rows.emptying[row])]
        words = " and ".join(f'"{names[tank]}"' for tank in way.tanks)
        dry = " and ".join(f'"{names[tank]}"' for tank in way.dry)
        return f"{words}, with {dry} dry" if dry else words


def unusable_fuel(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide whether the declared unusable fuel, and the least take-off fuel, hold.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        Two, on nominal values with screens at 20 % clear. On the declared unusable fuel the burn
        must arrive, and with what the test draws on top the required flow; on the least take-off
        fuel the required flow, and the burn in the take-off run. Not adequate where it does not
        with the expected dip of the surface, cannot tell where it does not with the cautious one
        or air may be drawn. Empty where no tank with a quantity feeds the engine directly.
    """
    assembly = evidence.swept.assembly
    ways = tuple(way for way in emptyings(assembly) if assembly.positions[way.position].judged)
    if not ways:
        return ()
    tried = _Tried(assembly, ways)
    tanks = assembly.system.tanks
    declared = np.array([tank.unusable or 0.0 for tank in tanks])
    takeoff = np.array([tank.least_takeoff or 0.0 for tank in tanks])
    drawn = assembly.system.test_draw
    return (
        _decision(
            tried,
            Topic.UNUSABLE_FUEL,
            "unusable fuel as declared",
            (tried.asked(BURN, declared), tried.asked(REQUIRED, declared + drawn)),
            "the burn arrives on it, and the required flow with what the test draws on top",
            "unusable",
        ),
        _decision(
            tried,
            Topic.LEAST_TAKEOFF_FUEL,
            "least take-off fuel",
            (tried.asked(REQUIRED, takeoff), tried.asked(BURN, takeoff, running=True)),
            "the required flow arrives on it, and the burn in the take-off run",
            "least_takeoff",
        ),
    )


def _some(attitudes: Attitudes) -> Attitudes:
    """Keep wings level and the take-off run."""
    kind = np.array(attitudes.kind)
    keep = np.flatnonzero(np.isin(kind, [LEVEL, RUN]))
    return Attitudes(
        gravity=attitudes.gravity[keep],
        pitch=attitudes.pitch[keep],
        lean=attitudes.lean[keep],
        kind=tuple(str(word) for word in kind[keep]),
    )


def _decision(
    tried: _Tried, topic: Topic, name: str, asked: tuple[_Asked, ...], fine: str, key: str
) -> Decision:
    answer = tried.answer(asked)
    if answer is None:
        words = f"{fine} (surface dipping {DIP_CAUTIOUS:.0f} times as deep as in a still tank)"
        return Decision(topic=topic, name=name, verdict=Verdict.ADEQUATE, found=words)
    demand = "burn" if tried.rows.kind[answer.row] == BURN else "required flow"
    says: dict[int, Callable[[], str]] = {
        FLOW: lambda: f"the {demand} does not arrive",
        AIR: lambda: f"air is drawn at the {demand}",
        DOUBT: lambda: f"air may be drawn at the {demand}",
    }
    words = f"tank {tried.tanks(answer.row)}: {says[answer.criterion]()} on it"
    if answer.verdict is Verdict.CANNOT_TELL and answer.criterion != AIR:
        times = tried.rows.times[answer.row]
        words += f", with the surface dipping {times:.0f} times as deep as in a still tank"
    words += f" ({tried.where(answer.row)})"
    if answer.line:
        words += f"; {TOO_SMALL}"
    remedy = "a wider line, or less loss in it" if answer.line else MORE.format(key=key)
    return Decision(topic=topic, name=name, verdict=answer.verdict, found=words, remedy=remedy)

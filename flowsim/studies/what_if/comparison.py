"""What differs between two judged cases, whatever their lines and tanks are."""

from dataclasses import dataclass

import numpy as np

from flowsim.studies.result import AdequacyResult, LossPath, ResultLine, ScenarioResult
from flowsim.studies.saying import Said


@dataclass(frozen=True, slots=True, kw_only=True)
class LineChange:
    """One result line in both cases; None where a case does not have it."""

    name: Said
    first: ResultLine | None
    second: ResultLine | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LossChange:
    """Dearest loss [m of fuel] of one part on any path of the deciding scenario; NaN: no such part.

    ``part`` is its name and its line.
    """

    part: Said
    first: float
    second: float

    @property
    def change(self) -> float:
        """Second less first [m]; a part that is not there counts as nothing."""
        return float(np.nan_to_num(self.second) - np.nan_to_num(self.first))


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonResult:
    """The whole answer; ``second`` is seen as a change of ``first``."""

    first: AdequacyResult
    second: AdequacyResult
    verdict_changes: bool
    lines: tuple[LineChange, ...]
    deciding: tuple[ScenarioResult, ScenarioResult]
    same_scenario: bool
    losses: tuple[LossChange, ...]


def compare(first: AdequacyResult, second: AdequacyResult) -> ComparisonResult:
    """Compare two answers.

    Parameters
    ----------
    first, second : AdequacyResult
        Judged the same way (draws and seed).

    Returns
    -------
    ComparisonResult
        Lines in the order of the first case, then those of the second alone; losses by how much
        they differ, largest first. The loss of a part is that in each case's own deciding scenario.
    """
    before = {line.name: line for line in first.lines}
    after = {line.name: line for line in second.lines}
    names = dict.fromkeys([*before, *after])
    deciding = first.deciding_scenario, second.deciding_scenario
    return ComparisonResult(
        first=first,
        second=second,
        verdict_changes=first.verdict_words != second.verdict_words,
        lines=tuple(
            LineChange(name=name, first=before.get(name), second=after.get(name)) for name in names
        ),
        deciding=deciding,
        same_scenario=_identity(deciding[0]) == _identity(deciding[1]),
        losses=_losses(first.losses, second.losses),
    )


def _identity(scenario: ScenarioResult) -> tuple[object, ...]:
    return (
        scenario.selector,
        round(scenario.pitch, 6),
        round(scenario.roll, 6),
        scenario.fuel_state,
        round(scenario.temperature, 3),
        scenario.end,
        scenario.screens,
        scenario.purpose,
    )


def _dearest(paths: tuple[LossPath, ...]) -> dict[Said, float]:
    """Dearest loss [m] of each part on any path."""
    found: dict[Said, float] = {}
    for path in paths:
        for row in path.rows:
            name = row.part_of_line
            found[name] = max(found.get(name, row.loss), row.loss)
    return found


def _losses(first: tuple[LossPath, ...], second: tuple[LossPath, ...]) -> tuple[LossChange, ...]:
    before, after = _dearest(first), _dearest(second)
    changes = [
        LossChange(
            part=name,
            first=before.get(name, float("nan")),
            second=after.get(name, float("nan")),
        )
        for name in dict.fromkeys([*before, *after])
    ]
    return tuple(sorted(changes, key=lambda item: -abs(item.change)))

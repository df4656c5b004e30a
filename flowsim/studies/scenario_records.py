"""Records of scenarios that are kept by column: one is made when it is asked for."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, overload

from flowsim.studies.result import ScenarioResult


class ScenarioRecords(Sequence[ScenarioResult]):
    """Thousands of records, of which most answers show some tens.

    Reads as a tuple of them would, and is as unchanging.

    Parameters
    ----------
    columns : mapping
        A list for every field of ``ScenarioResult``, all of one length.
    """

    def __init__(self, columns: Mapping[str, Sequence[Any]]) -> None:
        self._columns = columns
        self._made: list[ScenarioResult | None] = [None] * len(columns["index"])

    def __len__(self) -> int:
        """Give their number."""
        return len(self._made)

    @overload
    def __getitem__(self, place: int) -> ScenarioResult: ...
    @overload
    def __getitem__(self, place: slice) -> tuple[ScenarioResult, ...]: ...
    def __getitem__(self, place: int | slice) -> ScenarioResult | tuple[ScenarioResult, ...]:
        """Give one, or some as a tuple."""
        if isinstance(place, slice):
            return tuple(self[row] for row in range(*place.indices(len(self))))
        made = self._made[place]
        if made is None:
            made = ScenarioResult(**{name: own[place] for name, own in self._columns.items()})
            self._made[place] = made
        return made

    def __iter__(self) -> Iterator[ScenarioResult]:
        """Give one after the other."""
        return (self[row] for row in range(len(self)))

    def __eq__(self, other: object) -> bool:
        """Tell whether the same records stand in the same order."""
        if not isinstance(other, Sequence):
            return NotImplemented
        return len(other) == len(self) and tuple(self) == tuple(other)

    def __hash__(self) -> int:
        """Give a number that equal ones share."""
        return hash(tuple(self))

    def __repr__(self) -> str:
        """Show all of them."""
        return repr(tuple(self))

    def rows(self, wanted: Mapping[str, object]) -> Sequence[int]:
        """Give the places of those whose fields have the ``wanted`` values."""
        rows: Sequence[int] = range(len(self))
        for name, value in wanted.items():
            column = self._columns[name]
            rows = [row for row in rows if column[row] == value]
        return rows


def alike(scenarios: Sequence[ScenarioResult], **wanted: object) -> tuple[ScenarioResult, ...]:
    """Give the records whose fields have the wanted values.

    Parameters
    ----------
    scenarios : sequence of ScenarioResult
        Of a result.
    **wanted
        Value by the name of a field.

    Returns
    -------
    tuple of ScenarioResult
        In their order.
    """
    if isinstance(scenarios, ScenarioRecords):
        return tuple(scenarios[row] for row in scenarios.rows(wanted))
    return tuple(
        item
        for item in scenarios
        if all(getattr(item, name) == value for name, value in wanted.items())
    )


def count_alike(scenarios: Sequence[ScenarioResult], **wanted: object) -> int:
    """Count the records that ``alike`` gives, without making them.

    Parameters
    ----------
    scenarios, **wanted
        As for ``alike``.

    Returns
    -------
    int
    """
    if isinstance(scenarios, ScenarioRecords):
        return len(scenarios.rows(wanted))
    return len(alike(scenarios, **wanted))

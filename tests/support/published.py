"""The published references of ``tests/published``: one folder a source, compared with flowsim.

A folder holds ``source.toml`` (who, where, how we have it, tables and their tolerances) and the
data. Each table has a kind, which names the reader that runs flowsim on its rows:

- ``networks``: cases.toml, solved by flowsim's solver (``published_networks``); with ``flows`` the
  answers stand in a file of flows per case and link.
- ``solids``: cases.toml, built as tanks (``published_solids``).
- any other: rows of a CSV file, or ``rows`` in source.toml itself (``published_laws``).

``between`` picks rows by position (Reynolds number, altitude); ``bins`` tells the validation page
to show a summary per bin; ``may_exceed``: flowsim may lie above by any amount, below by the
tolerance; ``mean_tolerance`` bounds the mean difference as well.
"""

import csv
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

from tests.support.published_laws import READERS
from tests.support.published_networks import SolvedCase, read_answer
from tests.support.published_solids import solid_answers
from tests.support.published_units import UNITS, allowed, si, unit

FOLDER = Path(__file__).parents[1] / "published"

HOW = {
    "read": "read: seen in the source",
    "via a public transcription": "transcribed: through a public copy; the original was not seen",
    "from memory": "memory: remembered, not looked up again",
    "computed by a library": "library: run by us, version and script with the data",
    "computed independently": "own: worked out apart from flowsim, for its notes",
}
"""How we have a number, and the words for it."""

NEEDED = {
    "author", "title", "edition", "how", "how_note", "licence", "covers", "section", "evidence",
}  # fmt: skip
"""What every source.toml says."""

EVIDENCE = ("measurement", "book", "rule", "library", "own", "none")
"""What a source is worth: somebody measured it, a worked example or formula of a book, a rule or a
table in force, a program run by us, our own working, nothing (examples that are not run)."""


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """One published number and what flowsim says [SI].

    ``why``: the reason of a tolerance that is not by the table's rule, or that the row is circular.
    """

    label: str
    quantity: str
    published: str
    computed: float
    tolerance: str
    how: str
    why: str = ""
    position: float = 0.0
    may_exceed: bool = False

    @property
    def difference(self) -> float:
        """Computed less published [SI]."""
        return self.computed - si(self.published)

    @property
    def percent(self) -> float:
        """Difference in percent of the published size."""
        return 100.0 * self.difference / abs(si(self.published))

    @property
    def in_unit(self) -> float:
        """What flowsim says, in the published unit."""
        return self.computed / UNITS[unit(self.published)]

    @property
    def agrees(self) -> bool:
        """Whether the difference is allowed; NaN never is."""
        most = allowed(self.tolerance, self.published)
        return -most <= self.difference and (self.may_exceed or self.difference <= most)


@dataclass(frozen=True, kw_only=True)
class ReferenceTable:
    """One table of a source, compared; ``solved`` are its networks."""

    options: Mapping[str, Any]
    comparisons: tuple[Comparison, ...]
    solved: tuple[SolvedCase, ...] = ()

    @property
    def mean_percent(self) -> float:
        return sum(one.percent for one in self.comparisons) / len(self.comparisons)


@dataclass(frozen=True, kw_only=True)
class Source:
    """One published source."""

    folder: str
    facts: Mapping[str, Any]
    tables: tuple[ReferenceTable, ...]


def folders() -> list[Path]:
    """Give the folders that hold a source."""
    return sorted(path.parent for path in FOLDER.glob("*/source.toml"))


@cache
def load(folder: Path) -> Source:
    """Read a source and run flowsim on all its tables."""
    facts = tomllib.loads((folder / "source.toml").read_text(encoding="utf-8"))
    tables = tuple(_table(folder, facts["how"], options) for options in facts.get("table", ()))
    return Source(folder=folder.name, facts=facts, tables=tables)


def groups(table: ReferenceTable) -> Iterator[tuple[str, list[Comparison]]]:
    """Group by bins of Reynolds number, by network, or by quantity."""
    bins = table.options.get("bins")
    if bins:
        for low, high in pairwise(bins):
            last = high == bins[-1]
            group = [
                one
                for one in table.comparisons
                if low <= one.position < high or (last and one.position == high)
            ]
            if group:
                yield f"{group[0].quantity}, Re {low:g} to {high:g}", group
        return
    by_label: dict[str, list[Comparison]] = {}
    for one in table.comparisons:
        key = one.label if table.options["kind"] == "networks" else one.quantity
        by_label.setdefault(key, []).append(one)
    yield from by_label.items()


def _table(folder: Path, how: str, options: Mapping[str, Any]) -> ReferenceTable:
    solved: tuple[SolvedCase, ...] = ()
    if options["kind"] == "networks":
        solved = tuple(SolvedCase(case) for case in _cases(folder / options["file"]))
        answers = _network_answers(folder, solved, options)
    elif options["kind"] == "solids":
        answers = solid_answers(_cases(folder / options["file"]))
    else:
        reader = READERS[options["kind"]]
        answers = (answer for row in _rows(folder, options) for answer in reader(row, options))
    common = {
        "how": options.get("how", how),
        "tolerance": options.get("tolerance", ""),
        "may_exceed": options.get("may_exceed", False),
        "why": options.get("why", ""),
    }
    low, high = options.get("between", (-1e30, 1e30))
    found = (Comparison(**{**common, **answer}) for answer in answers)
    kept = tuple(one for one in found if low <= one.position < high)
    return ReferenceTable(options=options, comparisons=kept, solved=solved)


def _cases(path: Path) -> list[dict[str, Any]]:
    cases: list[dict[str, Any]] = tomllib.loads(path.read_text(encoding="utf-8"))["case"]
    return cases


def _rows(folder: Path, options: Mapping[str, Any]) -> list[dict[str, str]]:
    if "file" not in options:  # few enough to stand in source.toml itself
        names = options["columns"]
        return [dict(zip(names, map(str, row), strict=True)) for row in options["rows"]]
    with (folder / options["file"]).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def _network_answers(
    folder: Path, solved: tuple[SolvedCase, ...], options: Mapping[str, Any]
) -> Iterator[dict[str, Any]]:
    for one in solved:
        for answer in one.case.get("answer", ()):
            yield {
                "label": f"{one.case['example']} {one.case['what']}",
                "quantity": answer["quantity"],
                "published": answer["published"],
                "computed": read_answer(one, answer),
                **{key: answer[key] for key in ("tolerance", "how", "why") if key in answer},
            }
    by_name = {one.case["example"]: one for one in solved}
    for row in _rows(folder, {"file": options["flows"]}) if "flows" in options else ():
        one = by_name[row["case"]]
        yield {
            "label": f"{row['case']}: {one.case['what']}",
            "quantity": f"flow in {row['link']}",
            "published": f"{row['litres_per_hour']} L/h",
            "computed": one.flow(row["link"]),
        }

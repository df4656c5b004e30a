"""``[[stock]]`` and ``[defaults]``: what is said once for many lines and fittings.

Both are written out where they are not contradicted, before anything is checked. From here on the
case is as if it had been written in full.
"""

import math
from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import replace
from typing import Any, TypeVar

from pydantic import BaseModel

from flowsim.files.case.given import NOT_READ, UNREADABLE, Given, GivenPoint
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models_lines import CaseFile, LineSection
from flowsim.files.case.words import closest, did_you_mean, same_word
from flowsim.files.toml.lines import KeyPath
from flowsim.files.toml.source import TomlSource
from flowsim.files.units.quantities import shown
from flowsim.physics.losses.fitting_catalogue import traits_of

SIZE_KEYS = ("stock", "tube", "outside_diameter", "bore", "hose_bore")
"""Keys of a line that give its size."""

_LAID = ("least_bend_radius", "largest_span", "wall_density")
_OF_LINE = ("tube", "wall", "bore", "hose_bore", "kind", "material", "roughness", "bend_radius")
_LOSS_STATED = ("cv", "kv", "measured")

_Row = dict[str, Any]
_ModelT = TypeVar("_ModelT", bound=BaseModel)


def expand_defaults(source: TomlSource, ledger: Ledger) -> None:
    """Write what is said once out where it holds.

    Parameters
    ----------
    source
        The file; its data is changed, and what is copied is noted.
    ledger
        Receives the mistakes.
    """
    _Defaults(source, ledger).run()


class _Defaults:
    """Writes stock and defaults out."""

    def __init__(self, source: TomlSource, ledger: Ledger) -> None:
        self.source, self.ledger = source, ledger
        found = source.data.get("defaults")
        self.usual: _Row = found if isinstance(found, dict) else {}

    def run(self) -> None:
        """Write everything out."""
        for path, line in self.rows("line"):
            self.of_stock(path, line)
            self.of_line(path, line)
            self.of_parts((*path, "parts"), line.get("parts"))
        for path, tee in self.rows("tee"):
            self.take("bore", "fitting_bore", path, tee)
        for path, tank in self.rows("tank"):
            outlets = tank.get("outlet")
            for index, outlet in enumerate(outlets if isinstance(outlets, list) else ()):
                parts = outlet.get("parts") if isinstance(outlet, dict) else None
                self.of_parts((*path, "outlet", index, "parts"), parts)

    def rows(self, kind: str) -> Iterator[tuple[KeyPath, _Row]]:
        """Give the sections of a kind."""
        found = self.source.data.get(kind)
        for index, row in enumerate(found if isinstance(found, list) else ()):
            if isinstance(row, dict):
                yield (kind, index), row

    def take(self, key: str, usual: str, path: KeyPath, row: _Row) -> None:
        """Take a default over where a section says nothing."""
        if key not in row and usual in self.usual:
            row[key] = deepcopy(self.usual[usual])
            self.source.copied[(*path, key)] = ("defaults", usual)

    def of_stock(self, path: KeyPath, line: _Row) -> None:
        """Take over what a line's stock says."""
        if not any(key in line for key in SIZE_KEYS):
            self.take("stock", "stock", path, line)
        word = line.pop("stock", None)
        if word is None:
            return
        stocks = {
            row["name"]: (row, at)
            for at, row in self.rows("stock")
            if isinstance(row.get("name"), str)
        }
        found = same_word(word, stocks) if isinstance(word, str) else None
        if found is None:
            names = tuple(stocks)
            problem = f"there is no stock called {shown(word)}"
            remedy = did_you_mean(str(word), names) if names else "write a section [[stock]]"
            said_at = self.source.copied.get((*path, "stock"), (*path, "stock"))
            self.ledger.mistake(said_at, problem, remedy)
            found = closest(str(word), names)
            if found is None:
                self.ledger.mark_reported((*path, "tube"))
                line.setdefault("bore", UNREADABLE)
                return
        stock, at = stocks[found]
        is_hose = "hose_bore" in stock
        self.copy(stock, at, _OF_LINE, line, path)
        self.of_inserts(stock, at, line, path)
        if not is_hose:
            self.copy(stock, at, ("outside_diameter",), line, path)
        keys = (*_LAID, *(("outside_diameter",) if is_hose else ()))
        if any(key in stock for key in keys):
            installation = line.setdefault("installation", {})
            if isinstance(installation, dict):
                self.copy(stock, at, keys, installation, (*path, "installation"))

    def of_inserts(self, stock: _Row, at: KeyPath, line: _Row, path: KeyPath) -> None:
        """Put an insert at each end of a line whose stock names their bore."""
        parts = line.get("parts", [])
        if "insert_bore" not in stock or not isinstance(parts, list):
            return
        if any(isinstance(part, dict) and part.get("part") == "insert" for part in parts):
            return
        insert = {"part": "insert", "bore": deepcopy(stock["insert_bore"]), "count": 2}
        line["parts"] = [*parts, insert]
        self.source.copied[(*path, "parts", len(parts), "bore")] = (*at, "insert_bore")

    def copy(
        self, stock: _Row, at: KeyPath, keys: tuple[str, ...], row: _Row, path: KeyPath
    ) -> None:
        """Copy keys that a section does not have."""
        for key in keys:
            if key in stock and key not in row:
                row[key] = deepcopy(stock[key])
                self.source.copied[(*path, key)] = (*at, key)

    def of_line(self, path: KeyPath, line: _Row) -> None:
        """Take over what [defaults] says of lines."""
        if not any(key in line for key in SIZE_KEYS):
            self.take("tube", "tube", path, line)
        is_hose = "hose_bore" in line or line.get("kind") == "hose"
        if not is_hose and "roughness" not in line:
            self.take("material", "material", path, line)
        if "via" in line or "corners" in line:
            self.take("bend_radius", "bend_radius", path, line)

    def of_parts(self, path: KeyPath, parts: Any) -> None:
        """Take over what [defaults] says of fittings and pieces of tube."""
        for index, part in enumerate(parts if isinstance(parts, list) else ()):
            if not isinstance(part, dict):
                continue
            kind = part.get("part")
            if traits_of(str(kind)).takes_fitting_bore and not any(
                key in part for key in _LOSS_STATED
            ):
                self.take("bore", "fitting_bore", (*path, index), part)
            if kind == "tube" and "roughness" not in part:
                self.take("material", "material", (*path, index), part)


def with_usual_origin(case: CaseFile) -> CaseFile:
    """Give a case whose values say where they are from, and how sure, as [defaults] has it.

    Parameters
    ----------
    case
        The file's model.

    Returns
    -------
    CaseFile
        ``from`` holds for every value without its own; ``accuracy`` for every coordinate, rise,
        aft, right and length of a line without its own.
    """
    usual = case.defaults
    origin_said = None if usual is None or not usual.origin else usual.origin
    sure_said = None if usual is None or usual.accuracy is None else usual.accuracy.value
    if sure_said is not None and math.isnan(sure_said):
        sure_said = None
    if origin_said is None and sure_said is None:
        return case

    def said(given: Given, is_place: bool) -> Given:
        if given is NOT_READ or (given.quantity is None and given.text == ""):
            return given
        sure = sure_said if is_place and given.accuracy is None else given.accuracy
        origin = given.origin or origin_said
        if (origin, sure) == (given.origin, given.accuracy):
            return given
        return replace(given, origin=origin, accuracy=sure)

    left_out = ("defaults", "calibration", "stock")
    return _said_section(case, said, left_out)


def _said(value: Any, said: Callable[[Given, bool], Given], key: str) -> Any:
    """Walk over every given value of a section."""
    if isinstance(value, Given):
        return said(value, key in ("rise", "aft", "right"))
    if isinstance(value, GivenPoint):
        point = GivenPoint(*(said(axis, True) for axis in value))
        return value if all(a is b for a, b in zip(point, value, strict=True)) else point
    if isinstance(value, BaseModel):
        return _said_section(value, said)
    if isinstance(value, tuple) and not hasattr(value, "_fields"):
        rows = tuple(_said(item, said, key) for item in value)
        return value if all(a is b for a, b in zip(rows, value, strict=True)) else rows
    return value


def _said_section(
    section: _ModelT, said: Callable[[Given, bool], Given], left_out: tuple[str, ...] = ()
) -> _ModelT:
    """Give a section with what is said of its values; keys that are not given stay so."""
    is_line = isinstance(section, LineSection)
    changed = {}
    for name in type(section).model_fields:
        value = getattr(section, name)
        if name in left_out:
            continue
        place = is_line and name == "length"
        new = said(value, True) if place and value is not None else _said(value, said, name)
        if new is not value:
            changed[name] = new
    return section.model_copy(update=changed) if changed else section

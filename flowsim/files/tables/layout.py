"""Which part of a case stands in which sheet, and under which headings."""

from dataclasses import dataclass
from functools import cache
from typing import Any

from flowsim.files.case.form import FormField, form, section_at
from flowsim.files.case.models import CaseSection, PartSection
from flowsim.files.case.models_lines import (
    CornerSection,
    DrainSection,
    JunctionSection,
    LineSection,
    TeeSection,
)
from flowsim.files.case.models_tanks import DipSection, OutletSection, TankSection
from flowsim.files.case.words import plain
from flowsim.files.toml.lines import KeyPath

SIMPLE = ("quantity", "number", "count", "text", "choice", "yes_no", "tube", "band", "names")
"""Kinds of value that fit into one cell."""
QUALIFIED = ("quantity", "number")
"""Kinds that may say where they are from."""
FACETS = ("from", "accuracy", "note")
"""What a value may say of itself, as in ``{ value, from, accuracy, note }``."""

POINTS, PARTS, OTHER = "points", "parts", "other"
AXES = ("station", "buttline", "waterline")
KEY, VALUE, UNIT = "key", "value", "unit"


@dataclass(frozen=True, slots=True)
class Layout:
    """A sheet with a row for each table of a list.

    ``leads`` are the headings that say whose row it is, ``sections`` the models of what may stand
    in it, ``usual`` the headings that are there even where no row has them.
    """

    sheet: str
    leads: tuple[str, ...]
    sections: tuple[type[CaseSection], ...]
    usual: tuple[str, ...]


LINES = Layout("lines", (), (LineSection,), (
    "name", "mirror", "from", "to", "straight", "length", "rise", "tube", "bore", "hose bore",
    "material", "bend radius"))  # fmt: skip
CORNERS = Layout("corners", ("line", "no"), (CornerSection,), ("point", "radius", "fitting"))
TANKS = Layout("tanks", (), (TankSection,), (
    "name", "mirror", "shape", "fill factor", "capacity", "unusable", "least takeoff", "vent kind",
    "vent group"))  # fmt: skip
DIPS = Layout("dips", ("tank", "no"), (DipSection,), ("dip", "quantity"))
OUTLETS = Layout("outlets", ("tank",), (OutletSection,), (
    "name", "mirror", "bore", "style", "screen area", "screen mesh", "screen wire",
    "screen clear fraction"))  # fmt: skip
PART_ROWS = Layout(PARTS, ("of", "which", "no"), (PartSection,), (
    "part", "name", "count", "bore"))  # fmt: skip
JOINTS = Layout("joints", ("what",), (TeeSection, JunctionSection, DrainSection), (
    "name", "mirror", "run", "branch", "common", "bore", "reaches"))  # fmt: skip

OWN = {"line": LINES, "tank": TANKS, "tee": JOINTS, "junction": JOINTS, "drain": JOINTS}
"""Lists at the top of a case with a row for each of their tables."""
INSIDE = {"corners": CORNERS, "dips": DIPS, "outlet": OUTLETS}
"""Lists inside a line or tank with a row for each of their tables."""
SHEETS = ("lines", POINTS, "corners", PARTS, "tanks", "dips", "outlets", "joints", OTHER)
"""All sheets in the order in which they are written."""
POINT_LEADS = ("of", "which", "point", "no")

NAMED = ("line", "tank", "junction", "tee", "selector", "drain", "obstacle", "crossing",
         "vent_line", "stock", "phase")  # fmt: skip
"""Lists at the top whose tables have names."""


@dataclass(frozen=True, slots=True)
class Slot:
    """A column of a sheet: the keys that lead to its value, and the value's field."""

    path: tuple[str, ...]
    field: FormField


def words_of(*keys: str) -> str:
    """Give the heading of a key, or of keys one inside the other: ``vent kind``."""
    return " ".join(key.replace("_", " ") for key in keys)


def same_heading(text: str) -> str:
    """Give a heading as it is compared: small letters, single blanks."""
    return " ".join(text.casefold().replace("_", " ").split())


@cache
def slots(layout: Layout) -> dict[str, Slot]:
    """Give the columns of a sheet by heading, in the order of the reference."""
    found: dict[str, Slot] = {}
    for section in layout.sections:
        found |= {k: v for k, v in _slots(section, ()).items() if k not in found}
    return found


def _slots(section: type[CaseSection], before: tuple[str, ...]) -> dict[str, Slot]:
    found: dict[str, Slot] = {}
    for one in form(section):
        keys = (*before, one.key)
        if one.kind == "section":
            inner = section_at(_SAMPLE[section.__name__] + (one.key,))
            if inner is not None:
                found |= _slots(inner, keys)
        elif one.kind in SIMPLE or (one.kind == "list" and one.item in QUALIFIED):
            found[words_of(*keys)] = Slot(keys, one)
    return found


_SAMPLE: dict[str, KeyPath] = {
    "LineSection": ("line", 0), "TankSection": ("tank", 0),
    "OutletSection": ("tank", 0, "outlet", 0), "TeeSection": ("tee", 0),
}  # fmt: skip
"""Where a section with sections inside stands."""


def fields_at(path: KeyPath) -> dict[str, FormField]:
    """Give the fields of the table at a path by key, none if no table of the format is there."""
    section = section_at(path)
    return {} if section is None else {one.key: one for one in form(section)}


def name_of(table: Any) -> str:
    """Give the name of a table as it is shown, empty if it has none."""
    name = table.get("name") if isinstance(table, dict) else None
    return plain(name) if isinstance(name, str) else ""


def owner_of(path: KeyPath, data: Any) -> tuple[str, str] | None:
    """Give what the table at a path is and its name, for the columns ``of`` and ``which``.

    Parameters
    ----------
    path
        Of the table.
    data
        Of the case.

    Returns
    -------
    tuple of str or None
        None where it cannot be told by its name.
    """
    if path == ("engine",) or path == ("engine", "carburettor"):
        return str(path[-1]), ""
    if len(path) < 2 or path[0] not in NAMED or not isinstance(path[1], int):
        return None
    rows = data[path[0]]
    name = name_of(rows[path[1]])
    if not name or sum(name_of(row) == name for row in rows) > 1:
        return None
    if len(path) == 2:
        return words_of(str(path[0])), name
    if path[0] == "line" and path[2:] == ("installation",):
        return "installation", name
    if path[0] == "tank" and len(path) == 4 and path[2] == "outlet":
        outlets = rows[path[1]]["outlet"]
        own = name_of(outlets[path[3]])
        if own and sum(name_of(row) == own for row in outlets) == 1:
            return "outlet", f"{name}.{own}"
    return None


def owners(data: Any) -> dict[tuple[str, str], KeyPath]:
    """Give the path of everything that points and parts may belong to, by ``of`` and ``which``."""
    found: dict[tuple[str, str], KeyPath] = {}
    places: list[KeyPath] = [("engine",), ("engine", "carburettor")]
    for key in NAMED:
        for index, row in enumerate(data.get(key, ())):
            places.append((key, index))
            if key == "line":
                places.append((key, index, "installation"))
            if key == "tank" and isinstance(row, dict):
                places += [(key, index, "outlet", j) for j in range(len(row.get("outlet", ())))]
    for path in places:
        owner = owner_of(path, data)
        if owner is not None:
            found[owner] = path
    return found

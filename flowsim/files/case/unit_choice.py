"""In which units a case's figures are shown: as asked, as the case says, or as it is written.

The rule where nothing is said: the units of all lengths and volumes in the case are counted. If at
least four in five are of one system, it is that one; else both, with tables in the more frequent.
Speeds are shown in the unit that most of the case's speeds have.
"""

import re
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from flowsim.errors import InputError
from flowsim.files.toml.source import refuse_monsters
from flowsim.measures import UnitChoice, Units

_US = ("in", "ft", "US_gal", "US_qt", "US_pt", "US_cup", "US_fl_oz", "in3", "ft3")
_METRIC = ("mm", "cm", "m", "L", "mL", "cm3", "m3")
_SPELLED = {
    '"': "in", "inch": "in", "inches": "in", "'": "ft", "feet": "ft", "foot": "ft",
    "l": "L", "litre": "L", "litres": "L", "liter": "L", "liters": "L", "ml": "mL",
    "knots": "kt", "knot": "kt", "kts": "kt", "MPH": "mph", "kmh": "km/h", "kph": "km/h",
}  # fmt: skip
_UNIT = re.compile(r"[0-9.]\s*([A-Za-z][A-Za-z_]*[0-9]?(?:/h)?|[\"'])(?![\w/])")
_NO_QUANTITY = ("title", "note", "name", "source", "what_if")
_CLEARLY = 0.8
_LONGEST = 1 << 20


def choice_of_file(path: Path, asked: str | None = None) -> UnitChoice:
    """Give the choice for a case file, whatever else is wrong with it.

    Parameters
    ----------
    path : Path
        The case; if it cannot be read, both systems are shown.
    asked : str or None
        ``us``, ``metric`` or ``both``; goes before what the case says.

    Returns
    -------
    UnitChoice
        For ``flowsim.measures.choose``.
    """
    try:
        with path.open("rb") as file:
            text = file.read(_LONGEST).decode("utf-8", errors="replace")
    except (OSError, ValueError):
        text = ""
    return choice_of_text(text, asked)


def choice_of_text(text: str, asked: str | None = None) -> UnitChoice:
    """Give the choice for a case's text, as ``choice_of_file``."""
    try:
        refuse_monsters(text, "")
        data = tomllib.loads(text)
    except (InputError, RecursionError, ValueError):
        # A slip of the pen must not change the units of the page while one types.
        data = {"rest": text.splitlines(), "units": _key_in(text)}
    counted = Counter(_units(data))
    us = sum(counted[unit] for unit in _US)
    metric = sum(counted[unit] for unit in _METRIC)
    system = _wanted(asked) or _wanted(data.get("units")) or _written(us, metric)
    more = Units.US if us > metric else Units.METRIC
    speed = max(("kt", "mph", "km/h"), key=lambda unit: counted[unit])
    return UnitChoice(system, more if system is Units.BOTH else system, speed)


def _written(us: int, metric: int) -> Units:
    if us and us >= _CLEARLY * (us + metric):
        return Units.US
    return Units.METRIC if metric and metric >= _CLEARLY * (us + metric) else Units.BOTH


def _wanted(word: object) -> Units | None:
    known = [one for one in Units if isinstance(word, str) and one == word.strip().lower()]
    return known[0] if known else None


def _key_in(text: str) -> str:
    found = re.search(r"^units\s*=\s*[\"']?(\w+)", text, re.MULTILINE)
    return found[1] if found else ""


def _units(data: dict[str, Any]) -> Iterator[str]:
    """Give the unit of every quantity, in our spelling; however deep it lies."""
    waiting: list[tuple[str, Any]] = [("", data)]
    while waiting:
        key, value = waiting.pop()
        if key in _NO_QUANTITY:
            continue
        if isinstance(value, dict):
            waiting += value.items()
        elif isinstance(value, list):
            waiting += [(key, inner) for inner in value]
        elif isinstance(value, str):
            for found in _UNIT.finditer(value):
                yield _SPELLED.get(found[1], found[1])

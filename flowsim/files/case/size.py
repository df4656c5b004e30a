"""The size of a line: bore, outside diameter and wall, from whichever of them is given."""

import math
from dataclasses import dataclass

from flowsim.files.case.given import Given
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models_lines import LineSection
from flowsim.files.case.validate import example
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.plausible import LARGEST_BORE, LEAST_BORE
from flowsim.files.units.quantities import shown

_WAYS = ("tube", "hose_bore", "outside_diameter", "bore")
_ROUNDING = 1.005


@dataclass(frozen=True, slots=True)
class LineSize:
    """Bore [m], outside diameter and wall [m] where known, the bore as stated, words on it."""

    bore: float
    outside_diameter: float | None
    wall: float | None
    is_hose: bool
    stated: Given | None
    words: str
    key: str = "bore"


def line_size(section: LineSection, path: KeyPath, ledger: Ledger) -> LineSize | None:
    """Give the size of a line.

    Parameters
    ----------
    section
        ``[[line]]`` of the file.
    path
        Its path.
    ledger
        Receives mistakes and defaults.

    Returns
    -------
    LineSize or None
        Its bore is NaN where it could not be read; None where a mistake prevents it.
    """
    if not _ways_fit(section, path, ledger):
        return None
    if section.hose_bore is not None:
        given = section.hose_bore
        return LineSize(
            given.value, None, None, True, given, f"hose, bore {given.text}", "hose_bore"
        )
    if section.tube is not None:
        outside, wall, text = section.tube
        return _tube(section, path, outside, wall, f"tube {text}", ledger)
    if section.outside_diameter is not None:
        outside = section.outside_diameter.value
        thickness = math.nan if section.wall is None else section.wall.value
        text = f"tube, outside diameter {section.outside_diameter.text}"
        if section.wall is not None:
            text += f", wall {section.wall.text}"
            if outside <= 2.0 * thickness:
                ledger.mistake((*path, "wall"), "the wall leaves no bore", "correct one of them")
                return None
        return _tube(section, path, outside, thickness, text, ledger)
    given = section.bore or Given(math.nan)
    if section.kind is None:
        ledger.default((*path, "kind"), "tube")
    return LineSize(given.value, None, None, section.kind == "hose", given, f"bore {given.text}")


def _ways_fit(section: LineSection, path: KeyPath, ledger: Ledger) -> bool:
    """Check that the size is given once, and as far as it must be."""
    given = [key for key in _WAYS if getattr(section, key) is not None]
    if not given:
        ledger.mistake(
            (*path, "tube"),
            "its bore is missing",
            f"write {example(LineSection, 'tube')}, or hose_bore or bore",
        )
        return False
    clashes = [("tube", "hose_bore"), ("tube", "outside_diameter"), ("hose_bore", "bore"),
               ("hose_bore", "outside_diameter")]  # fmt: skip
    for first, second in clashes:
        if first in given and second in given:
            problem = f"{first} is given as well"
            ledger.mistake((*path, second), problem, "keep one of them")
            return False
    if section.wall is not None and section.outside_diameter is None:
        remedy = f"write {example(LineSection, 'outside_diameter')} as well"
        ledger.mistake((*path, "wall"), "the wall alone does not tell the bore", remedy)
        return False
    if section.outside_diameter is not None and section.wall is None and section.bore is None:
        remedy = f"write {example(LineSection, 'wall')} or bore as well"
        problem = "the outside diameter alone does not tell the bore"
        ledger.mistake((*path, "outside_diameter"), problem, remedy)
        return False
    is_clear = not section.kind or "bore" in given
    if not is_clear and (section.kind == "hose") != ("hose_bore" in given):
        problem = f"{shown(section.kind)} contradicts its size, given as {given[0]}"
        ledger.mistake((*path, "kind"), problem, "delete one of them")
        return False
    return True


def _tube(
    section: LineSection, path: KeyPath, outside: float, wall: float, words: str, ledger: Ledger
) -> LineSize:
    """Give the size of a tube; a bore that is stated beside it must fit into it."""
    inside = outside if math.isnan(wall) else outside - 2.0 * wall
    if not math.isnan(wall) and (inside * _ROUNDING < LEAST_BORE or inside > LARGEST_BORE):
        key = "tube" if section.tube is not None else "outside_diameter"
        ledger.mistake(
            (*path, key),
            f"{words} leaves a bore of {1000.0 * inside:.3g} mm, which is not plausible",
            "write a size with a bore of 1 to 50 mm",
        )
    if section.bore is None:
        return LineSize(inside, outside, wall, False, None, words)
    bore = section.bore.value
    if bore > inside * _ROUNDING or (bore >= inside and math.isnan(wall)):
        ledger.mistake(
            (*path, "bore"),
            f"{shown(section.bore.text)} is wider than the tube, {words}, allows",
            "correct one of them",
        )
    elif bore < inside / _ROUNDING and not math.isnan(wall):
        ledger.caution(
            path, f"the stated bore, {section.bore.text}, is used; {words} would have more"
        )
    wall_known = 0.5 * (outside - bore) if math.isnan(wall) else wall
    return LineSize(min(bore, inside), outside, wall_known, False, section.bore, words)


def line_bore(section: LineSection) -> float | None:
    """Give the bore of a line for the nodes at its ends, without reporting anything.

    Parameters
    ----------
    section
        ``[[line]]`` of the file.

    Returns
    -------
    float or None
        [m]; None where it is missing.
    """
    for given in (section.bore, section.hose_bore):
        if given is not None:
            return given.value
    if section.tube is not None:
        return section.tube.outside_diameter - 2.0 * section.tube.wall
    if section.outside_diameter is not None and section.wall is not None:
        return section.outside_diameter.value - 2.0 * section.wall.value
    return None

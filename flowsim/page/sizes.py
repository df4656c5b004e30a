"""Another size of tube or hose in some lines: tried on the text that would be kept.

What is tried is the case as it would stand in the file, so that keeping it changes nothing that
was shown. Fittings that are bought with the tube go with it; all others stay as they are, and where
the file left their bore to the line, it is written out as assumed.
"""

from dataclasses import dataclass
from typing import Any

from flowsim import measures
from flowsim.document.words.telling import told
from flowsim.errors import FlowsimError
from flowsim.files.case.defaults import SIZE_KEYS
from flowsim.files.case.draft import Draft
from flowsim.files.case.form import keys_at
from flowsim.files.case.reader import read_draft
from flowsim.files.toml.edits import Edit, edited, read
from flowsim.files.toml.spans import KeyPath
from flowsim.files.units.kinds import BORE
from flowsim.files.units.quantities import QuantityError, parse_quantity
from flowsim.page.typed import shown_text
from flowsim.physics.course.tube_sizes import FLARED_FITTING_BORE, INCH
from flowsim.physics.losses.fitting_catalogue import CATALOGUE, traits_of
from flowsim.studies.changes.resize import SAME, Size, size_of, trade_hoses, trade_tubes
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Line

_OWN_SIZE = (*SIZE_KEYS, "wall", "kind")
_LOSSES = ("bore", "cv", "kv", "measured", "k")


@dataclass(frozen=True, slots=True)
class TriedSize:
    """A size put into a case: the edits, the text with them, what it reads as, and remarks."""

    size: Size
    edits: tuple[Edit, ...]
    text: str
    draft: Draft
    remarks: tuple[str, ...]


def sizes_for(system: FuelSystem, names: tuple[str, ...]) -> list[Size]:
    """Give the trade's sizes of the first line's sort, the nearest to its bore first."""
    line = _line(system, names[0]) if names else None
    if line is None:
        raise FlowsimError("pick at least one line")
    own = size_of(line)
    found = trade_hoses() if own.is_hose else trade_tubes()
    others = [size for size in found if abs(size.bore - own.bore) > SAME or size.wall != own.wall]
    return sorted(others, key=lambda size: (abs(size.bore - own.bore), size.bore))


def with_size(draft: Draft, names: tuple[str, ...], size: Size) -> TriedSize:
    """Put a size into some lines of a case.

    Parameters
    ----------
    draft : Draft
        A case without mistakes.
    names : tuple of str
        Its lines.
    size : Size

    Returns
    -------
    TriedSize
        Its draft may have mistakes, such as a bend that is too tight for the size.

    Raises
    ------
    FlowsimError
        A line is not there, or the case has mistakes.
    """
    system = draft.system
    if system is None:
        raise FlowsimError("correct the mistakes first")
    data = read(draft.text)
    edits: list[Edit] = []
    remarks: list[str] = []
    for index, row in enumerate(data["line"]):
        if row.get("name") in names:
            line = _line(system, row["name"])
            if line is None:
                raise FlowsimError(f'there is no line called "{row["name"]}"')
            edits += _line_edits(("line", index), row, line, size, remarks)
            edits += _stock_edits(("line", index), row, line, data)
    edits += _node_edits(data, system, names, size, remarks)
    text = edited(draft.text, edits, keys_at)
    return TriedSize(size, tuple(edits), text, read_draft(text, draft.name), tuple(remarks))


def _line(system: FuelSystem, name: str) -> Line | None:
    return next((line for line in system.lines if line.name == name), None)


def _size_values(size: Size) -> dict[str, str]:
    """Give the keys that state a size."""
    if size.is_hose:
        return {"hose_bore": f"{size.bore / INCH:.6g} in"}
    outside, wall = told(size.name).removeprefix("tube ").split(" x ")
    return {"tube": f"{outside} {wall.split()[1]} x {wall}"}


def _line_edits(
    path: KeyPath, row: dict[str, Any], line: Line, size: Size, remarks: list[str]
) -> list[Edit]:
    """Write the new size where the old one stands, and let the line's fittings follow or stay."""
    values = _size_values(size)
    edits = [Edit("unset", (*path, key)) for key in _OWN_SIZE if key in row and key not in values]
    edits += [Edit("set", (*path, key), value) for key, value in values.items()]
    if size.is_hose != ("hose" in line.material) and "material" in row:
        material = "rubber hose" if size.is_hose else "aluminium tube"
        edits.append(Edit("set", (*path, "material"), material))
    parts = row.get("parts")
    for number, part in enumerate(parts if isinstance(parts, list) else ()):
        if isinstance(part, dict):
            edits += _part_edits((*path, "parts", number), part, line, size, remarks)
    return edits


def _stock_edits(
    path: KeyPath, row: dict[str, Any], line: Line, data: dict[str, Any]
) -> list[Edit]:
    """Write out what a line had from its stock beside its size, which goes with the stock."""
    usual = data.get("defaults")
    usual = usual.get("stock") if isinstance(usual, dict) else None
    stock = row.get("stock", None if any(key in row for key in SIZE_KEYS) else usual)
    if stock is None:
        return []
    found: dict[str, Any] = next(
        (one for one in data.get("stock", []) if one.get("name") == stock), {}
    )
    if "insert_bore" in found:
        raise FlowsimError(
            f'{line.name} is made of the stock "{stock}", whose ends are held by inserts: change '
            "the stock in the tab Lines"
        )
    edits = []
    if "material" in found and "material" not in row and "roughness" not in row:
        edits.append(Edit("set", (*path, "material"), found["material"]))
    if "bend_radius" in found and "bend_radius" not in row:
        edits.append(Edit("set", (*path, "bend_radius"), found["bend_radius"]))
    return edits


def _part_edits(
    path: KeyPath, part: dict[str, Any], line: Line, size: Size, remarks: list[str]
) -> list[Edit]:
    kind = str(part.get("part", ""))
    called = f"{line.name}: {part.get('name') or kind}"
    if kind not in CATALOGUE:
        return []
    if "bore" not in part:
        if traits_of(kind).follows_tube or any(key in part for key in _LOSSES):
            return []
        remarks.append(f"{called} stays, its bore now written out")
        return [Edit("set", (*path, "bore"), _assumed(line.bore))]
    new = _following(_bore(part["bore"]), line, size) if traits_of(kind).follows_tube else None
    if new is None:
        remarks.append(f"{called} stays")
        return []
    remarks.append(f"{called} follows, {measures.BORE.significant(new, 4)}")
    return [Edit("set", (*path, "bore"), f"{new / INCH:.4g} in")]


def _following(bore: float | None, line: Line, size: Size) -> float | None:
    """Give the bore that a fitting of the line's size has in the new one, None where it stays."""
    if bore is None:
        return None
    if abs(bore - line.bore) < SAME:
        return size.bore
    old = size_of(line).dash
    if old is None or size.dash is None or size.is_hose:
        return None
    before, after = FLARED_FITTING_BORE.get(old), FLARED_FITTING_BORE.get(size.dash)
    if before is None or after is None or abs(bore - before) >= SAME:
        return None
    return after


def _node_edits(
    data: dict[str, Any],
    system: FuelSystem,
    names: tuple[str, ...],
    size: Size,
    remarks: list[str],
) -> list[Edit]:
    """Let tees follow whose lines all change; write out what was left to a line that changes."""
    edits = []
    for index, tee in enumerate(data.get("tee", [])):
        legs = {*tee.get("run", []), tee.get("branch")}
        line = _line(system, str(tee.get("common")))
        if line is None or not legs & set(names):
            continue
        path: KeyPath = ("tee", index, "bore")
        whole = legs <= set(names)
        if "bore" not in tee:
            if not whole and line.name in names:
                remarks.append(f"tee {tee['name']} stays, its bore now written out")
                edits.append(Edit("set", path, _assumed(line.bore)))
            continue
        new = _following(_bore(tee["bore"]), line, size) if whole else None
        remarks.append(f"tee {tee['name']} " + ("stays" if new is None else "follows"))
        if new is not None:
            edits.append(Edit("set", path, f"{new / INCH:.4g} in"))
    for index, selector in enumerate(data.get("selector", [])):
        line = _line(system, str(selector.get("outlet")))
        if line is not None and line.name in names and "loss" not in selector:
            remarks.append(f"selector {selector['name']} stays, its bore now written out")
            loss = {"part": "selector", "bore": _assumed(line.bore)}
            edits.append(Edit("set", ("selector", index, "loss"), loss))
    return edits


def _assumed(bore: float) -> dict[str, str]:
    note = "the line's bore before its size was changed"
    return {"value": f"{bore / INCH:.4g} in", "from": "assumed", "note": note}


def _bore(value: Any) -> float | None:
    try:
        return parse_quantity(shown_text(value), BORE).value
    except QuantityError:
        return None

"""From what somebody did on the page to edits of the text, and to the words of the edition."""

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

from flowsim.files.case.form import field_at, keys_at
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.references import referring_to, renamed, sort_of
from flowsim.files.toml.edits import Edit, applied, edited, read
from flowsim.files.toml.sheet import EditError
from flowsim.files.toml.source import TomlSource, with_quotes
from flowsim.files.toml.spans import KeyPath
from flowsim.files.toml.values import at
from flowsim.page.typed import TAKE_OUT, shown_text, typed_list, typed_value, unit_of

_LENGTHS = ("in", "ft", "mm", "cm", "m")
_HEADED = (("engine", "carburettor"), ("calibration",))
"""Sections below the top that get a heading of their own."""


class ReferredToError(EditError):
    """What was to be taken out is named elsewhere; ``places`` says where."""

    def __init__(self, words: str, places: tuple[str, ...]) -> None:
        super().__init__(words)
        self.places = places


@dataclass(frozen=True, slots=True)
class ChangeStep:
    """One thing done on the page; which fields count depends on ``do``.

    ``type``: ``text`` typed at ``path`` (``unit`` for numbers without, ``above`` the cell above).
    ``origin``: where the value or the point at ``path`` is from (``text``), ``accuracy``, ``note``.
    ``insert``, ``remove``, ``move``: elements of lists. ``add``: a section or key. ``rename_key``.
    ``quotes``: put missing quotes in. ``text``: the whole text. ``edits``: made by a job.
    """

    do: str
    path: KeyPath = ()
    text: str = ""
    unit: str = ""
    above: KeyPath = ()
    accuracy: str | None = None
    note: str | None = None
    value: Any = None
    others_too: bool = False


def changed(text: str, steps: Sequence[ChangeStep]) -> tuple[str, str]:
    """Give the text after some steps, and what was done in words.

    Parameters
    ----------
    text : str
        TOML, or for the steps ``text`` and ``quotes`` any text.
    steps : sequence of ChangeStep
        Made one after the other, one edition for all of them.

    Returns
    -------
    (str, str)

    Raises
    ------
    EditError
        A step cannot be made; nothing is changed then.
    """
    said = []
    for step in steps:
        text, words = _one(text, step)
        said.append(words)
    return text, "; ".join(dict.fromkeys(filter(None, said)))[:300]


def _one(text: str, step: ChangeStep) -> tuple[str, str]:
    if step.do == "text":
        return relined(text, step.text), "text changed in the tab Text"
    if step.do == "quotes":
        mended = with_quotes(text)
        if mended is None:
            raise EditError("no quotes are missing")
        return mended, "the quotes put in"
    data = read(text)
    edits, words = _edits(data, step)
    return edited(text, edits, keys_at), words


def _edits(data: dict[str, Any], step: ChangeStep) -> tuple[list[Edit], str]:
    if step.do == "type":
        return _typed(data, step)
    if step.do == "origin":
        return _origin(data, step)
    if step.do == "insert":
        words = f"{item(data, step.path[:-1])}: one more"
        return [Edit("insert", step.path, step.value), *_corners_follow(data, step.path, 1)], words
    if step.do == "remove":
        return _removed(data, step)
    if step.do == "move":
        place = int(step.value)
        words = f"{item(data, step.path)}: moved to place {place + 1}"
        return [Edit("move", step.path, place)], words
    if step.do == "add":
        return _added(data, step)
    if step.do == "rename_key":
        words = f"{item(data, step.path)}: now called {step.text}"
        return renamed(data, step.path, step.text.strip()), words
    if step.do == "edits":
        return list(step.value), step.text
    raise EditError(f'"{step.do[:20]}" is not a known change; reload the page')


def relined(before: str, after: str) -> str:
    r"""Give lines written in a text area, which knows ``\n`` only, the line ends of the file.

    Parameters
    ----------
    before : str
        The text as it was, with byte order mark and line ends of its own.
    after : str
        As it was written.

    Returns
    -------
    str
        Lines that were there, or are in their place, keep their line ends; others get the first's.
    """
    mark = "\ufeff" if before.startswith("\ufeff") else ""
    old = before.removeprefix("\ufeff").split("\n")
    new = after.removeprefix("\ufeff").replace("\r\n", "\n").split("\n")
    usual = "\r" if len(old) > 1 and old[0].endswith("\r") else ""
    ends = [usual] * (len(new) - 1) + [""]
    matcher = SequenceMatcher(None, [line.removesuffix("\r") for line in old], new, autojunk=False)
    for _, start, end, first, last in matcher.get_opcodes():
        for one, other in zip(range(start, end), range(first, last), strict=False):
            if other < len(new) - 1:
                ends[other] = "\r" if old[one].endswith("\r") else ""
    return mark + "\n".join(line + end for line, end in zip(new, ends, strict=True))


def item(data: dict[str, Any], path: KeyPath) -> str:
    """Name a thing as the messages do: ``tank "left", outlet "rear", bore``."""
    return Ledger(TomlSource(name="", data=data, lines={(): 1})).item(path)


def sheet_unit(data: dict[str, Any]) -> str:
    """Give the unit in which most lengths of the places are written; inches if none is."""
    counts = dict.fromkeys(_LENGTHS, 0)
    for value in _lengths(data, ()):
        unit = unit_of(value)
        if unit in counts:
            counts[unit] += 1
    best = max(counts, key=lambda unit: counts[unit])
    return best if counts[best] else "in"


def get(data: Any, path: KeyPath) -> Any:
    """Give what stands at a path, None if nothing does."""
    try:
        return at(data, path)
    except LookupError:
        return None


def _lengths(data: Any, path: KeyPath) -> list[Any]:
    """Collect the coordinates of every point."""
    if isinstance(data, dict) and "value" not in data:
        return [v for key, item_ in data.items() for v in _lengths(item_, (*path, key))]
    if isinstance(data, list):
        is_point = len(data) == 3 and all(isinstance(v, str | dict) for v in data)
        if is_point and not any(isinstance(v, dict) and "value" not in v for v in data):
            return data
        return [v for i, item_ in enumerate(data) for v in _lengths(item_, (*path, i))]
    return []


def _typed(data: dict[str, Any], step: ChangeStep) -> tuple[list[Edit], str]:
    """Put what was typed where it belongs."""
    path, old = step.path, get(data, step.path)
    field = field_at(path)
    name = item(data, path)
    if sort_of(path) is not None and path[-1] == "name" and step.text.strip() and old:
        return renamed(data, path, step.text.strip()), f"{name}: now {step.text.strip()}"
    if field is None:
        value: Any = step.text.strip() or TAKE_OUT
    elif field.kind == "list" and path[-1] == field.key:
        value = typed_list(step.text, old) or TAKE_OUT
    elif field.kind == "map":
        value = _in_map(path, step.text)
    else:
        unit = step.unit if _takes_sheet_unit(path) else unit_of(old)
        above = get(data, step.above) if step.above else None
        value = typed_value(field, step.text, old, unit, above)
    if _is_coordinate(path):
        return _coordinate(data, path, value, name)
    if value is TAKE_OUT:
        if old is None:
            return [], ""
        return _out(data, path), f"{name}: taken out, was {_words(old)}"
    was = f", was {_words(old)}" if old is not None else ""
    return [*_holders(data, path), Edit("set", path, value)], f"{name}: {_words(value)}{was}"


def _words(value: Any) -> str:
    words = shown_text(value)
    if isinstance(value, dict) and value.get("from") == "assumed":
        words += " (assumed)"
    return words if len(words) <= 60 else f"{words[:57]}..."


def _in_map(path: KeyPath, text: str) -> Any:
    """Give the value of a port or a position."""
    if path[2:3] == ("positions",):
        return [part.strip() for part in text.split(",") if part.strip()]
    return text.strip() or TAKE_OUT


def _takes_sheet_unit(path: KeyPath) -> bool:
    return _is_coordinate(path) or path[-1] in ("length", "rise", "aft", "right")


def _is_coordinate(path: KeyPath) -> bool:
    field = field_at(path)
    if field is None or not isinstance(path[-1], int):
        return False
    if field.kind == "point":
        return path[-2] == field.key
    depth = len(path) - 1 - max(i for i, step in enumerate(path) if step == field.key)
    return (field.item == "point" and depth == 2) or (field.item == "list" and depth == 3)


def _coordinate(
    data: dict[str, Any], path: KeyPath, value: Any, name: str
) -> tuple[list[Edit], str]:
    """Put one length into a point; the point is made if it is not there, and goes with its last."""
    *above, axis = path
    point = get(data, tuple(above))
    old = get(data, path)
    value = "" if value is TAKE_OUT else value
    was = f", was {_words(old)}" if old not in (None, "") else ""
    words = f"{name}: {_words(value) or 'taken out'}{was}"
    if isinstance(point, list) and len(point) == 3:
        rest = [v for i, v in enumerate(point) if i != axis]
        if value == "" and all(v == "" for v in rest) and isinstance(above[-1], str):
            return [Edit("unset", tuple(above))], words
        return [Edit("set", path, value)], words
    if value == "":
        return [], ""
    made = ["", "", ""]
    made[int(axis)] = value
    return [*_holders(data, tuple(above)), Edit("set", tuple(above), made)], words


def _holders(data: dict[str, Any], path: KeyPath) -> list[Edit]:
    """Make the sections that should hold a path and are not there."""
    edits = []
    for size in range(1, len(path)):
        holder = path[:size]
        if get(data, holder) is None and isinstance(holder[-1], str):
            headed = size == 1 or holder in _HEADED or holder[-1] == "installation"
            edits.append(Edit("add_table", holder, {}) if headed else Edit("set", holder, {}))
            data = applied(data, edits[-1])
    return edits


def _out(data: dict[str, Any], path: KeyPath) -> list[Edit]:
    """Take a key out, and the tables around it that are empty then."""
    while len(path) > 1 and isinstance(path[-2], str):
        holder = get(data, path[:-1])
        if not (isinstance(holder, dict) and len(holder) == 1) or len(path) == 2:
            break
        path = path[:-1]
    return [Edit("unset", path)]


def _origin(data: dict[str, Any], step: ChangeStep) -> tuple[list[Edit], str]:
    """Say where a value is from; for a point, where its three lengths are from."""
    old = get(data, step.path)
    if isinstance(old, list) and len(old) == 3:
        paths = [(*step.path, axis) for axis in range(3) if get(data, (*step.path, axis)) != ""]
    else:
        paths = [step.path]
    edits, unit = [], step.unit
    for path in paths:
        value = get(data, path)
        if value is None or value == "":
            raise EditError("write the value first, then where it is from")
        about = dict(value) if isinstance(value, dict) else {"value": value}
        about["from"] = step.text
        if step.accuracy is not None:
            accuracy = step.accuracy.strip().removeprefix("+-").strip()
            own = unit_of(about["value"]) or unit
            about["accuracy"] = accuracy if not accuracy or unit_of(accuracy) or not own else (
                f"{accuracy} {own}")  # fmt: skip
        if step.note is not None:
            about["note"] = step.note.strip()
        kept = {key: v for key, v in about.items() if v != "" or key == "value"}
        edits.append(Edit("set", path, kept if len(kept) > 1 else kept["value"]))
    said = step.text or "no origin"
    return edits, f"{item(data, step.path)}: from {said}"


def _removed(data: dict[str, Any], step: ChangeStep) -> tuple[list[Edit], str]:
    """Take a thing out, unless others name it and are to stay."""
    if get(data, step.path) is None:
        raise EditError("it is not there any more")
    words = f"{item(data, step.path)}: taken out"
    named = referring_to(data, step.path)
    if not named:
        last = isinstance(step.path[-1], int) and len(get(data, step.path[:-1])) == 1
        whole = step.path[:-1] if last and len(step.path) > 2 else step.path
        return [Edit("unset", whole), *_corners_follow(data, step.path, -1)], words
    if not step.others_too:
        places = tuple(item(data, ref.path) for ref in named)
        raise ReferredToError(f"{item(data, step.path)} is named elsewhere", places)
    out = _with_what_names_it(data, step.path)
    edits = [Edit("unset", path) for path in sorted(out, key=_last_first)]
    return edits, f"{words}, with {len(edits) - 1} that named it"


def _corners_follow(data: dict[str, Any], path: KeyPath, by: int) -> list[Edit]:
    """Let corners that are said of points of ``via`` keep theirs when one comes or goes."""
    match path:
        case ("line", int() as line, "via", int() as place):
            rows = get(data, ("line", line, "corners"))
        case _:
            return []
    edits: list[Edit] = []
    for index in reversed(range(len(rows) if isinstance(rows, list) else 0)):
        point = rows[index].get("point") if isinstance(rows[index], dict) else None
        where = ("line", line, "corners", index)
        if by < 0 and point == place + 1:
            edits.append(Edit("unset", where))
        elif isinstance(point, int) and point > place:
            edits.append(Edit("set", (*where, "point"), point + by))
    return edits


def _with_what_names_it(data: dict[str, Any], path: KeyPath) -> list[KeyPath]:
    """Give what goes out with a thing: lines, drains and the like whole; elsewhere the name."""
    out, waiting = [path], [path]
    while waiting:
        for ref in referring_to(data, waiting.pop()):
            whole = ref.path[0] in ("line", "drain", "crossing", "vent_line", "start")
            thing = ref.path[:2] if whole else ref.path
            if not any(thing[: len(other)] == other for other in out):
                out.append(thing)
                waiting += [thing] if whole else []
    return [p for p in out if not any(p != q and p[: len(q)] == q for q in out)]


def _last_first(path: KeyPath) -> list[tuple[int, str | int]]:
    """Order paths so that taking one out leaves those after it where they are."""
    return [(0, step) if isinstance(step, str) else (1, -step) for step in path]


def _added(data: dict[str, Any], step: ChangeStep) -> tuple[list[Edit], str]:
    """Put in a section, an element of a list of sections, or a port or position."""
    value = step.value if step.value is not None else {}
    last = step.path[-1]
    holders = _holders(data, step.path)
    words = f"{item(data, step.path[:1])}: one more"
    if isinstance(last, int):
        if isinstance(value, dict) and "name" in value:
            words = f'{step.path[-2]} "{value["name"]}": new'
        inline = step.path[-2] in ("parts", "measured", "density", "viscosity", "vapour_pressure",
                                   "dips")  # fmt: skip
        return [*holders, Edit("insert" if inline else "add_table", step.path, value)], words
    headed = len(step.path) == 1 or step.path in _HEADED or last == "installation"
    words = f"{item(data, step.path)}: new"
    return [*holders, Edit("add_table" if headed else "set", step.path, value)], words

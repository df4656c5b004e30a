"""Edits of a TOML text by place: what is not edited stays as it is, character for character.

Each edit is turned into cuts (begin, end, new text). Then it is proved: the new text is read, and
must be the old data changed in plain Python; the remarks on lines of their own must all be there.
Where that does not hold, nothing is changed and it is told as a bug.
"""

import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Literal

from flowsim.errors import FlowsimError
from flowsim.files.toml import cuts
from flowsim.files.toml.sheet import EditError, TextCut, TextSheet, line_end, named
from flowsim.files.toml.source import LONGEST_LINE
from flowsim.files.toml.spans import KeyPath, spans_of
from flowsim.files.toml.values import at, plain, same

Do = Literal["set", "unset", "insert", "remove", "move", "add_table", "rename"]
Order = Callable[[KeyPath], Sequence[str]]
"""From the path of a table to its keys in the order in which they are usually written."""


_UNCHANGED = "nothing was changed; change it in the tab Text"


class EditBugError(FlowsimError):
    """An edit did not do what it should; nothing was changed."""


@dataclass(frozen=True, slots=True)
class Edit:
    """One edit of the data.

    ``set``: the value at ``path``; a key that is not there yet is put into its table, which must
    be there. ``unset``: take the key at ``path`` out, or the whole section. ``insert``: put
    ``value`` before the element of a list that ``path`` ends with (its length: at the end).
    ``remove``: take that element out. ``move``: put that element where ``value`` (an index) says.
    ``add_table``: ``value`` as a section with a heading of its own, at ``path``, which ends with a
    key, or for a list of sections with an index as in ``insert``. ``rename``: the key at ``path``
    is called ``value``.
    """

    do: Do
    path: KeyPath
    value: Any = None


def edited(text: str, edits: Sequence[Edit], order: Order | None = None) -> str:
    r"""Give a text with edits made, one after the other.

    Parameters
    ----------
    text
        TOML that the standard library reads; line ends and byte order mark are kept.
    edits
        What to change; paths are those of the data as the edits before have left them.
    order
        Keys of the table at a path in their usual order; new keys go to the end if not given.

    Returns
    -------
    str
        The text with the cuts made.

    Raises
    ------
    EditError
        An edit cannot be made: nothing is there, or the text is no TOML; says why.
    EditBugError
        An edit was made and did not do what it should.
    """
    data = read(text)
    for edit in edits:
        text, data = _edited(text, data, edit, order or (lambda _path: ()))
    return text


def read(text: str) -> dict[str, Any]:
    """Read a text into plain data.

    Parameters
    ----------
    text
        TOML, with or without byte order mark.

    Returns
    -------
    dict

    Raises
    ------
    EditError
        It is no TOML.
    """
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except (ValueError, RecursionError) as error:
        raise EditError(f"the text cannot be read ({error}); correct it in the tab Text") from None


def applied(data: Any, edit: Edit) -> Any:
    """Give data with an edit made, in plain Python and without any text.

    Parameters
    ----------
    data
        Tables and lists; left as they are.
    edit
        What to change.

    Returns
    -------
    any
        A copy with the change.

    Raises
    ------
    EditError
        There is nothing at the path.
    """
    made = plain(data)
    *above, last = edit.path
    try:
        if edit.do in ("add_table", "insert") and last == 0 and isinstance(above[-1], str):
            at(made, tuple(above[:-1])).setdefault(above[-1], [])
        holder = at(made, tuple(above))
        if edit.do == "rename":
            _rename(holder, str(last), str(edit.value))
        elif isinstance(last, str):
            _change_key(holder, last, edit)
        else:
            _change_element(holder, last, edit)
    except (LookupError, TypeError, ValueError, AttributeError):
        raise EditError(f"there is nothing at {named(edit.path)}") from None
    return made


def _edited(text: str, data: Any, edit: Edit, order: Order) -> tuple[str, Any]:
    wanted = applied(data, edit)
    sheet = TextSheet(text, spans_of(text), data, order)
    if edit.do in ("remove", "unset") and isinstance(edit.path[-1], int):
        _drop_empty(wanted, edit.path[:-1], sheet)
    made = _made(text, _cuts_of(sheet, edit))
    made = _broken(made, text)
    _prove(sheet, edit, made, wanted)
    return made, wanted


def _drop_empty(wanted: Any, holder: KeyPath, sheet: TextSheet) -> None:
    """Take away a list of sections without a section: its headings were its only text."""
    if holder not in sheet.spans.values and at(wanted, holder) == []:
        del at(wanted, holder[:-1])[holder[-1]]


def _cuts_of(sheet: TextSheet, edit: Edit) -> list[TextCut]:
    if edit.do == "set":
        return cuts.set_value(sheet, edit.path, edit.value)
    if edit.do == "unset":
        return cuts.unset(sheet, edit.path)
    if edit.do == "rename":
        return cuts.rename(sheet, edit.path, str(edit.value))
    if edit.do == "insert":
        return cuts.insert(sheet, edit.path, edit.value)
    if edit.do == "remove":
        return cuts.remove(sheet, edit.path)
    if edit.do == "move":
        return cuts.move(sheet, edit.path, int(edit.value))
    return cuts.add_table(sheet, edit.path, edit.value)


def _made(text: str, found: list[TextCut]) -> str:
    """Make cuts; they must not overlap."""
    ordered = sorted(found)
    for one, other in pairwise(ordered):
        if other[0] < one[1]:
            raise EditBugError(
                "two of the changes overlap; nothing was changed, make them one after the other"
            )
    for start, end, new in reversed(ordered):
        text = text[:start] + new + text[end:]
    return text


def _broken(text: str, before: str) -> str:
    """Break lines that an edit made longer than the reader takes, before an element of a list."""
    if all(len(line) <= LONGEST_LINE for line in text.split("\n")):
        return text
    already = set(before.split("\n"))
    for _ in range(20):
        start = 0
        for line in text.split("\n"):
            if len(line) > LONGEST_LINE and line not in already:
                break
            start += len(line) + 1
        else:
            return text
        place = cuts.place_to_break(text, start, start + LONGEST_LINE - 40)
        if place is None:
            break
        text = f"{text[:place].rstrip(' ')}{line_end(text)}  {text[place:]}"
    raise EditError(f"a line would be longer than {LONGEST_LINE} characters")


def _prove(sheet: TextSheet, edit: Edit, made: str, wanted: Any) -> None:
    """Refuse an edit that did not give the data wanted, or lost a remark of its own line."""
    where = named(edit.path)
    try:
        found = tomllib.loads(made.removeprefix("\ufeff"))
    except (ValueError, RecursionError) as error:
        raise EditBugError(
            f"changing {where} would break the file ({error}); {_UNCHANGED}"
        ) from None
    if not same(found, wanted):
        raise EditBugError(f"changing {where} would change more than that; {_UNCHANGED}")
    left = {made[a:b].strip() for a, b in spans_of(made).remarks(made)}
    if any(sheet.text[a:b].strip() not in left for a, b in sheet.spans.remarks(sheet.text)):
        raise EditBugError(f"changing {where} would lose a remark; {_UNCHANGED}")


def _rename(holder: Any, old: str, new: str) -> None:
    if not isinstance(holder, dict) or old not in holder or new in holder:
        raise LookupError(new)
    holder[new] = holder.pop(old)


def _change_key(holder: Any, key: str, edit: Edit) -> None:
    if not isinstance(holder, dict):
        raise LookupError(key)
    if edit.do == "unset":
        del holder[key]
    elif edit.do == "set" or (edit.do == "add_table" and key not in holder):
        holder[key] = plain(edit.value)
    else:
        raise LookupError(key)


def _change_element(holder: Any, index: int, edit: Edit) -> None:
    if not isinstance(holder, list) or not 0 <= index <= len(holder):
        raise LookupError(index)
    if edit.do == "set" and index < len(holder):
        holder[index] = plain(edit.value)
    elif edit.do in ("insert", "add_table"):
        holder.insert(index, plain(edit.value))
    elif edit.do in ("remove", "unset") and index < len(holder):
        del holder[index]
    elif edit.do == "move" and index < len(holder) and 0 <= int(edit.value) < len(holder):
        holder.insert(int(edit.value), holder.pop(index))
    else:
        raise LookupError(index)

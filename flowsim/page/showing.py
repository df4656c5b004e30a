"""What a counsellor is shown beside the answer: every input with its mark, and what was changed."""

from itertools import pairwise
from typing import Any

from flowsim.files.case.draft import Draft
from flowsim.files.case.form import field_at, keys_at
from flowsim.files.toml.spans import KeyPath
from flowsim.page.changes import item
from flowsim.page.editions import Edition
from flowsim.page.merge import differences
from flowsim.page.typed import shown_text
from flowsim.page.wire import Wire
from flowsim.page.worker import Worker

MARKS = {"measured": "", "drawing": "d", "handbook": "h", "assumed": "◇"}
"""Small marks beside a value; measured is plain."""


def inputs(draft: Draft) -> list[Wire]:
    """List every value of a case under its section, with where it is from.

    Parameters
    ----------
    draft : Draft

    Returns
    -------
    list of dict
        ``section`` and ``rows``: what, value, mark, origin in words. Filled-in values come last in
        their section, marked so.
    """
    data = draft.data or {}
    found: list[Wire] = []
    for key in [*keys_at(()), *(k for k in data if k not in keys_at(()))]:
        value = data.get(key)
        if isinstance(value, list) and value and isinstance(value[0], dict):
            for index, row in enumerate(value):
                found.append(_section(data, (key, index), row))
        elif isinstance(value, dict):
            found.append(_section(data, (key,), value))
    top = [_row(key, data[key]) for key in ("title", "note") if key in data]
    filled = [entry for entry in draft.provenance if entry.origin == "default"]
    if top:
        found.insert(0, {"section": "the case", "rows": top})
    if filled:
        rows = [[entry.item, entry.value, "filled in", entry.note] for entry in filled]
        found.append({"section": "filled in by the program", "rows": rows})
    return found


def _section(data: Wire, path: KeyPath, table: Wire) -> Wire:
    rows: list[list[str]] = []
    _collect(data, path, table, "", rows)
    return {"section": item(data, path), "rows": rows}


def _collect(data: Wire, path: KeyPath, table: Wire, lead: str, rows: list[list[str]]) -> None:
    for key, value in table.items():
        here = (*path, key)
        words = f"{lead}{key.replace('_', ' ')}"
        if isinstance(value, dict) and "value" not in value:
            _collect(data, here, value, f"{words}, ", rows)
        elif isinstance(value, list) and value and isinstance(value[0], dict) and not (
            "value" in value[0] and field_at(here) is not None and _is_plain_list(here)
        ):  # fmt: skip
            for index, one in enumerate(value):
                name = one.get("name") or one.get("part") or index + 1
                _collect(data, (*here, index), one, f"{words} {name}, ", rows)
        else:
            rows.append(_row(words, value))


def _is_plain_list(path: KeyPath) -> bool:
    field = field_at(path)
    return field is not None and field.kind in ("list", "point")


def _row(words: str, value: Any) -> list[str]:
    origins = _origins(value)
    mark = " ".join(dict.fromkeys(MARKS.get(origin, "") for origin in origins)).strip()
    about = ", ".join(dict.fromkeys([*origins, *_notes(value)]))
    return [words, _shown(value), mark, about]


def _shown(value: Any) -> str:
    if isinstance(value, list) and value and isinstance(value[0], list):
        return "; ".join(_shown(one) for one in value)
    return shown_text(value)


def _origins(value: Any) -> list[str]:
    if isinstance(value, dict):
        return [str(value["from"])] if "from" in value else []
    return [o for one in value for o in _origins(one)] if isinstance(value, list) else []


def _notes(value: Any) -> list[str]:
    if isinstance(value, dict):
        said = [f"± {value['accuracy']}"] if "accuracy" in value else []
        return [*said, str(value["note"])] if value.get("note") else said
    return [n for one in value for n in _notes(one)] if isinstance(value, list) else []


def changes_made(way: tuple[Edition, ...], worker: Worker) -> list[Wire]:
    """List the editions from the first to the current one, with the least flow after each.

    Parameters
    ----------
    way : tuple of Edition
        Each made from the one before.
    worker : Worker
        Knows the least flow of the editions that were worked out.

    Returns
    -------
    list of dict
        ``words``, ``before`` and ``after`` (least flow in percent of the required, or that it was
        not worked out).
    """
    rows = []
    for before, after in pairwise(way):
        rows.append(
            {
                "number": after.number,
                "words": after.words,
                "before": worker.least_of(before.text),
                "after": worker.least_of(after.text),
            }
        )
    return rows


def changed_values(before: Wire, after: Wire) -> list[list[str]]:
    """List the values that differ between two cases: what, before, after."""
    return [list(found.words(before)) for found in differences(before, after)]

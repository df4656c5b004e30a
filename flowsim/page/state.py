"""What the page is told of the case as it stands: data, places, mistakes, marks, history, file."""

import datetime
from typing import Any

from flowsim.document.words.standing import ALWAYS
from flowsim.errors import Mistake
from flowsim.files.case.draft import Draft
from flowsim.files.case.form import forms
from flowsim.files.case.part_rules import known_parts
from flowsim.files.toml.source import with_quotes
from flowsim.files.toml.values import plain
from flowsim.page.changes import sheet_unit
from flowsim.page.drawing import drawing
from flowsim.page.editions import Editions
from flowsim.page.sheet import measuring_sheet
from flowsim.page.wire import Wire
from flowsim.physics.fuel.catalogue import CATALOGUE
from flowsim.physics.losses.roughness import ROUGHNESS


def case_state(draft: Draft) -> Wire:
    """Give what the page shows of a draft.

    Parameters
    ----------
    draft : Draft

    Returns
    -------
    dict
        Ready for JSON.
    """
    data = draft.data if draft.data is not None else {}
    return {
        "text": draft.text,
        "reads": draft.data is not None,
        "quotes": draft.has_slips and with_quotes(draft.text) is not None,
        "slips": draft.has_slips,
        "data": _simple(data),
        "unit": sheet_unit(data),
        "mistakes": [mistake_object(mistake) for mistake in draft.mistakes],
        "given": [
            {"path": entry.path, "origin": entry.origin, "value": entry.value, "note": entry.note,
             "item": entry.item}
            for entry in draft.provenance
        ],
        "remarks": [{"text": remark.text, "path": remark.path} for remark in draft.remarks],
        "sheet": measuring_sheet(draft),
        "drawing": drawing(draft),
        "tested": "calibration" in data,
    }  # fmt: skip


def mistake_object(mistake: Mistake) -> Wire:
    """Give a mistake: the whole sentence as the commands print it, and its pieces."""
    return {
        "sentence": str(mistake),
        "words": f"{mistake.problem}; {mistake.remedy}",
        "item": mistake.item,
        "line": mistake.line,
        "path": mistake.path,
    }


def history_object(editions: Editions) -> Wire:
    """Give the editions with the one that is there and the one in the file."""
    return {
        "turn": editions.turn,
        "now": editions.now,
        "saved": editions.saved,
        "is_saved": editions.is_saved,
        "can_undo": editions.current.parent is not None,
        "can_redo": editions.can_redo(),
        "editions": [
            {"number": e.number, "words": e.words, "parent": e.parent} for e in editions.every
        ],
    }


def form_objects() -> Wire:
    """Give what may be filled in, once for a page: forms, parts, fuels, materials."""
    return {
        "forms": {
            name: [
                {
                    "key": field.key, "label": field.label, "kind": field.kind,
                    "words": field.words, "required": field.required, "units": field.units,
                    "example": field.example, "choices": field.choices, "item": field.item,
                    "section": field.section,
                }
                for field in fields
            ]
            for name, fields in forms().items()
        },
        "parts": known_parts(),
        "fuels": [*CATALOGUE, "own"],
        "materials": list(ROUGHNESS),
        "always": ALWAYS,
    }  # fmt: skip


def _simple(value: Any) -> Any:
    """Give data as JSON can hold it: dates become words."""
    if isinstance(value, dict):
        return {key: _simple(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_simple(item) for item in value]
    if isinstance(value, datetime.date | datetime.time | datetime.datetime):
        return str(value)
    if isinstance(value, float) and (value != value or value in (float("inf"), float("-inf"))):
        return str(value)
    return plain(value)

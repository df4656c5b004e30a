"""What may be filled in, section by section, as data for a form: from the models of the file."""

from dataclasses import dataclass
from functools import cache
from typing import Any

from flowsim.files.case.models import CaseSection
from flowsim.files.case.models_lines import CaseFile
from flowsim.files.case.validate import section_of
from flowsim.files.case.values import SCHEMA_KEY
from flowsim.files.toml.spans import KeyPath
from flowsim.files.units.kinds import KINDS


@dataclass(frozen=True, slots=True, kw_only=True)
class FormField:
    """One key of a section.

    ``kind``: "quantity", "number", "point", "tube", "band", "text", "choice", "yes_no", "count",
    "names", "map", "list" (of ``item``), "section" or "sections" (of ``section``, by its form's
    name). ``units`` may be written with it, the usual one first; ``example`` is plain data;
    ``choices`` are the words of a choice.
    """

    key: str
    label: str
    kind: str
    words: str
    required: bool
    units: tuple[str, ...] = ()
    example: Any = None
    choices: tuple[str, ...] = ()
    item: str = ""
    section: str = ""


@cache
def form(section: type[CaseSection]) -> tuple[FormField, ...]:
    """Give the fields of a section in the order of the reference.

    Parameters
    ----------
    section
        A model of the case file.

    Returns
    -------
    tuple of FormField
    """
    found = []
    properties = section.model_json_schema(by_alias=True)["properties"]
    for name, field in section.model_fields.items():
        key = field.alias or name
        raw = _without_null(properties[key])
        kind, item, units, choices = _kind(raw)
        inner = section_of(field)
        if inner is not None:
            kind = "sections" if raw.get("type") == "array" else "section"
        found.append(
            FormField(
                key=key,
                label=key.replace("_", " "),
                kind=kind,
                words=" ".join((field.description or "").split()),
                required=field.is_required(),
                units=units,
                example=field.examples[0] if field.examples else None,
                choices=choices,
                item=item,
                section=inner.__name__ if inner is not None else "",
            )
        )
    return tuple(found)


def forms() -> dict[str, tuple[FormField, ...]]:
    """Give the form of every section that a case can hold, by its name."""
    found: dict[str, tuple[FormField, ...]] = {}
    waiting: list[type[CaseSection]] = [CaseFile]
    while waiting:
        section = waiting.pop()
        if section.__name__ in found:
            continue
        found[section.__name__] = form(section)
        inner = (section_of(field) for field in section.model_fields.values())
        waiting += [one for one in inner if one is not None]
    return found


def section_at(path: KeyPath) -> type[CaseSection] | None:
    """Give the model of the table at a path.

    Parameters
    ----------
    path
        Keys and indices from the top.

    Returns
    -------
    type or None
        None where no table of the format can stand.
    """
    section: type[CaseSection] | None = CaseFile
    for step in path:
        if isinstance(step, str) and section is not None:
            field = next(
                (f for name, f in section.model_fields.items() if step == (f.alias or name)), None
            )
            section = section_of(field)
    return section


def keys_at(path: KeyPath) -> tuple[str, ...]:
    """Give the keys of the table at a path in the order of the reference, none if it has none."""
    section = section_at(path)
    if section is None:
        return ()
    return tuple(field.alias or name for name, field in section.model_fields.items())


def field_at(path: KeyPath) -> FormField | None:
    """Give the field that a path leads to or into, None if it leads to none of the format."""
    for size in range(len(path), 0, -1):
        key, section = path[size - 1], section_at(path[: size - 1])
        if isinstance(key, str) and section is not None and key in keys_at(path[: size - 1]):
            return next(field for field in form(section) if field.key == key)
    return None


def _without_null(raw: dict[str, Any]) -> dict[str, Any]:
    options = [option for option in raw.get("anyOf", []) if option != {"type": "null"}]
    return options[0] if len(options) == 1 else raw


def _kind(raw: dict[str, Any]) -> tuple[str, str, tuple[str, ...], tuple[str, ...]]:
    """Give kind, kind of what is in a list, units, choices."""
    marked = raw.get(SCHEMA_KEY)
    if marked in ("point", "tube", "band", "number"):
        return str(marked), "", (), ()
    if isinstance(marked, str):
        kinds = [kind for kind in KINDS if kind.name in marked.split(" or ")]
        return "quantity", "", tuple(unit for kind in kinds for unit in kind.units), ()
    if "enum" in raw:
        return "choice", "", (), tuple(raw["enum"])
    if raw.get("type") == "array":
        items = raw["items"]
        inner, _, units, _ = _kind(items)
        return ("names" if items == {"type": "string"} else "list"), inner, units, ()
    plain = {"boolean": "yes_no", "integer": "count", "object": "map", "string": "text",
             "number": "number"}  # fmt: skip
    return plain.get(str(raw.get("type")), "section"), "", (), ()

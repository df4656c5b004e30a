"""From the data of a file to its model, whatever is wrong with it.

Every mistake of form is written into the ledger, what it concerns is made unreadable, and the
model is built of the rest, so that mistakes of reference are found in the same run.
"""

from collections.abc import Iterator
from typing import Any, TypeVar

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from flowsim.files.case.given import UNREADABLE, Fault
from flowsim.files.case.ledger import MOST_MISTAKES, Ledger
from flowsim.files.case.models import CaseSection
from flowsim.files.case.models_lines import CaseFile
from flowsim.files.case.words import closest, did_you_mean
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.examples import example_words
from flowsim.files.units.quantities import shown

_MOST_ROUNDS = 12


_SectionT = TypeVar("_SectionT", bound=CaseSection)


def case_model(ledger: Ledger) -> CaseFile | None:
    """Build the model of the ledger's file and write down every mistake of form.

    Parameters
    ----------
    ledger
        Holds the source; receives the mistakes.

    Returns
    -------
    CaseFile or None
        The model, with empty values where the file could not be read; None only if that failed.
    """
    return model_of(ledger, CaseFile)


def model_of(ledger: Ledger, root: type[_SectionT]) -> _SectionT | None:
    """Build the model of a file whose keys are some of those of a case file.

    Parameters
    ----------
    ledger
        Holds the source; receives the mistakes.
    root
        The model of the whole file.

    Returns
    -------
    CaseSection or None
        As ``case_model``.
    """
    data = _copy(ledger.source.data)
    broken: set[KeyPath] = set(ledger.given_up)
    for _ in range(_MOST_ROUNDS):
        try:
            return root.model_validate(data)
        except ValidationError as error:
            _take_in(error.errors(include_url=False), data, broken, ledger)
    return None


def _take_in(details: list[ErrorDetails], data: Any, broken: set[KeyPath], ledger: Ledger) -> None:
    """Put the errors of one round into words, and mend the data for the next.

    ``broken`` are the paths of earlier rounds; what lies in them is reported already.
    """
    meant = _meanings(details, data)
    for path in meant.values():
        ledger.mark_reported(path)
    for detail in details:
        path = tuple(detail["loc"])
        if detail["type"] == "missing" and path in meant.values():
            continue
        if ledger.is_full:
            ledger.count_more(1)
        elif not any(path[:depth] in broken for depth in range(1, len(path) + 1)):
            for fault in _faults(detail, path):
                ledger.mistake((*path, *fault.inside), fault.problem, fault.remedy)
        broken.add(path)
        if path in meant:
            _rename(data, path, str(meant[path][-1]))
            ledger.source.also(path, meant[path])
        else:
            _blank_out(data, path, detail["type"] == "extra_forbidden")


def _meanings(details: list[ErrorDetails], data: Any) -> dict[KeyPath, KeyPath]:
    """Find the keys that misspelt ones were meant to be, where those are not given as well."""
    meant: dict[KeyPath, KeyPath] = {}
    for detail in details[: 2 * MOST_MISTAKES]:
        path = tuple(detail["loc"])
        if detail["type"] != "extra_forbidden":
            continue
        key = closest(str(path[-1]), _keys_at(path[:-1]), 0.75)
        table = data
        for step in path[:-1]:
            table = table[step]
        if key is not None and key not in table and (*path[:-1], key) not in meant.values():
            meant[path] = (*path[:-1], key)
    return meant


def _rename(data: Any, path: KeyPath, key: str) -> None:
    for step in path[:-1]:
        data = data[step]
    data[key] = data.pop(path[-1])


def _faults(detail: ErrorDetails, path: KeyPath) -> Iterator[Fault]:
    """Put one error of the validation into the builder's words."""
    kind = detail["type"]
    if kind == "flowsim":
        yield from detail["ctx"]["faults"]
    elif kind == "extra_forbidden":
        known = _keys_at(path[:-1])
        yield Fault((), "unknown key", did_you_mean(str(path[-1]), known))
    elif kind == "missing":
        yield Fault((), "is missing", _example_of(path))
    elif kind in ("model_type", "model_attributes_type", "dict_type"):
        heading = ".".join(step for step in path if isinstance(step, str))
        yield Fault(
            (), f"{shown(detail['input'])} is not a table", f"write {{ ... }} or [{heading}]"
        )
    else:
        yield Fault((), f"{shown(detail['input'])} does not fit here", _example_of(path))


def _copy(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: _copy(value) for key, value in data.items()}
    return [_copy(value) for value in data] if isinstance(data, list) else data


def _blank_out(data: Any, path: KeyPath, is_unknown: bool) -> None:
    """Delete an unknown key; make any other value unreadable."""
    *above, last = path
    for step in above:
        if data[step] is UNREADABLE:
            data[step] = {}
        data = data[step]
    if is_unknown:
        data.pop(last, None)
    else:
        data[last] = UNREADABLE


def _section_at(path: KeyPath) -> type[CaseSection] | None:
    """Find the model of the table at a path."""
    section: type[CaseSection] | None = CaseFile
    for step in path:
        if isinstance(step, str) and section is not None:
            section = section_of(_field(section, step))
    return section


def _field(section: type[CaseSection], key: str) -> Any:
    fields = section.model_fields
    return next((f for name, f in fields.items() if key == (f.alias or name)), None)


def section_of(field: Any) -> type[CaseSection] | None:
    """Give the model inside a field's annotation, at any depth.

    Parameters
    ----------
    field
        A model's field, or an annotation.

    Returns
    -------
    type or None
        The section that the field holds, or holds a list of.
    """
    annotation = getattr(field, "annotation", field)
    if isinstance(annotation, type) and issubclass(annotation, CaseSection):
        return annotation
    for inner in getattr(annotation, "__args__", ()):
        if (found := section_of(inner)) is not None:
            return found
    return None


def _keys_at(path: KeyPath) -> list[str]:
    section = _section_at(path)
    if section is None:
        return []
    return [field.alias or name for name, field in section.model_fields.items()]


def _example_of(path: KeyPath) -> str:
    """Give the remedy for a missing key: its example."""
    key = str(path[-1])
    section = _section_at(path[:-1])
    field = _field(section, key) if section is not None else None
    if section is not None and field is not None and field.examples:
        return f"write {example(section, key)}"
    if key in ("tank", "line", "outlet"):
        heading = ".".join(step for step in path if isinstance(step, str))
        return f"write a section [[{heading}]]"
    return f"write a section [{key}]"


def example(section: type[CaseSection], key: str) -> str:
    """Write the example of a key as TOML.

    Parameters
    ----------
    section
        The table's model.
    key
        A key that has an example.

    Returns
    -------
    str
        ``key = value``.
    """
    return example_words(f"{key} = {toml_text(_field(section, key).examples[0])}")


def toml_text(value: Any) -> str:
    """Write a value of an example as TOML.

    Parameters
    ----------
    value
        Text, number, truth value, list or table of such.

    Returns
    -------
    str
        One line of TOML.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {toml_text(v)}" for key, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(toml_text(item) for item in value) + "]"
    return f'"{value}"' if isinstance(value, str) else str(value)

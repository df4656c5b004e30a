"""From the text of a case to its data: brackets set right, mirrors and defaults written out."""

from copy import deepcopy
from typing import Any, NamedTuple

from flowsim.files.case.defaults import expand_defaults
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.mirror import expand_mirrors
from flowsim.files.case.models import CaseSection
from flowsim.files.case.models_lines import CaseFile
from flowsim.files.case.part_rules import known_parts
from flowsim.files.case.validate import section_of
from flowsim.files.case.words import closest, did_you_mean, same_word, spelled_as
from flowsim.files.toml.lines import KeyPath
from flowsim.files.toml.slips import LISTED_SECTIONS
from flowsim.files.toml.source import TomlSource, read_toml

SINGLE_SECTIONS = ("defaults", "fuel", "engine", "flight", "test", "ground", "routing",
                   "calibration")  # fmt: skip
"""Sections of which there is one."""


class OpenedCase(NamedTuple):
    """A case as data: the ledger that holds it, the plain data of its text, whether slips were.

    The ledger's data is set right and written out; the plain data is as it was written.
    """

    ledger: Ledger
    data: dict[str, Any]
    has_slips: bool


def open_case(text: str, name: str) -> OpenedCase:
    """Read the text of a case, or of a profile, into data that remembers its lines.

    Parameters
    ----------
    text
        TOML.
    name
        What to call the file in messages.

    Returns
    -------
    OpenedCase
        Slips of the pen stand in its ledger as mistakes.

    Raises
    ------
    InputError
        Not TOML beyond repair.
    """
    source = read_toml(text, name)
    ledger = Ledger(source)
    for slip in source.slips:
        ledger.slip(slip.line, slip.problem, slip.remedy)
    set_headings(source, ledger)
    written = deepcopy(source.data)
    has_slips = ledger.has_mistakes
    join_sections(source, ledger)
    mean_keys(source.data, CaseFile, (), source, ledger)
    spell_positions(source.data)
    spell_parts(source.data)
    expand_mirrors(source, ledger)
    expand_defaults(source, ledger)
    return OpenedCase(ledger, written, has_slips)


def join_sections(source: TomlSource, ledger: Ledger) -> None:
    """Take the sections of a misspelt heading for more of those that are meant, and say so.

    Parameters
    ----------
    source
        The file; its data and lines are set right.
    ledger
        Receives the mistakes.
    """
    data = source.data
    for name in list(data):
        meant = None if name in LISTED_SECTIONS else closest(name, LISTED_SECTIONS, 0.75)
        rows = data.get(meant or "")
        if meant is None or not isinstance(rows, list) or not isinstance(data[name], list):
            continue
        ledger.mistake((name,), "unknown key", did_you_mean(name, LISTED_SECTIONS))
        for index, row in enumerate(data.pop(name)):
            source.also((name, index), (meant, len(rows)))
            rows.append(row)


def mean_keys(
    data: dict[str, Any],
    section: type[CaseSection],
    path: KeyPath,
    source: TomlSource,
    ledger: Ledger,
) -> None:
    """Take misspelt keys for those that are meant, at any depth, and say so.

    What is mirrored or taken over from [defaults] is then looked for under its right name.

    Parameters
    ----------
    data
        The data of a section; its keys are set right.
    section
        Its model.
    path
        Its path.
    source
        The file; keys are found under both names.
    ledger
        Receives the mistakes.
    """
    known = {field.alias or name: field for name, field in section.model_fields.items()}
    meant: dict[str, str] = {}
    for key in data:
        close = None if key in known else closest(key, tuple(known), 0.75)
        if close is not None and close not in data and close not in meant.values():
            meant[key] = close
            ledger.mistake((*path, key), "unknown key", did_you_mean(key, tuple(known)))
            source.also((*path, key), (*path, close))
    if meant:
        renamed = {meant.get(key, key): value for key, value in data.items()}
        data.clear()
        data.update(renamed)
    for key, value in data.items():
        inner = section_of(known[key]) if key in known else None
        rows = enumerate(value) if isinstance(value, list) else [(None, value)]
        for index, row in rows if inner is not None else ():
            if isinstance(row, dict) and inner is not None:
                at = (*path, key) if index is None else (*path, key, index)
                mean_keys(row, inner, at, source, ledger)


def set_headings(source: TomlSource, ledger: Ledger) -> None:
    """Read ``[tank]`` as ``[[tank]]`` and ``[[fuel]]`` as ``[fuel]``, and say so.

    Parameters
    ----------
    source
        The file; its data and lines are set right.
    ledger
        Receives the mistakes.
    """
    data = source.data
    for name in LISTED_SECTIONS:
        key, _, inner = name.partition(".")
        holders = [(data, ())] if not inner else _tables(data, key)
        for holder, path in holders:
            own = inner or key
            if isinstance(holder.get(own), dict) and holder[own]:
                ledger.mistake((*path, own), f"[{name}] is one of a list", f"write [[{name}]]")
                source.also((*path, own), (*path, own, 0))
                holder[own] = [holder[own]]
    for name in SINGLE_SECTIONS:
        rows = data.get(name)
        if isinstance(rows, list) and len(rows) == 1 and isinstance(rows[0], dict):
            ledger.mistake((name,), f"there is one [{name}] in a file", f"write [{name}]")
            source.also((name, 0), (name,))
            data[name] = rows[0]


def _tables(data: dict[str, Any], key: str) -> list[tuple[dict[str, Any], tuple[str | int, ...]]]:
    rows = data.get(key)
    if not isinstance(rows, list):
        return []
    return [(row, (key, index)) for index, row in enumerate(rows) if isinstance(row, dict)]


def spell_positions(data: dict[str, Any]) -> None:
    """Write positions and ports of selectors as they are named, whatever their case.

    Parameters
    ----------
    data
        The file's data, changed in place.
    """
    for selector, _ in _tables(data, "selector"):
        ports, positions = selector.get("ports"), selector.get("positions")
        if isinstance(positions, dict):
            if isinstance(ports, dict):
                for opened in positions.values():
                    _spell(opened, list(ports))
            _spell(selector.get("judged"), list(positions))


def spell_parts(data: dict[str, Any]) -> None:
    """Write what parts are as the catalogue does, whatever their case.

    Parameters
    ----------
    data
        The file's data, changed in place.
    """
    engine = data.get("engine")
    holders = [engine.get("carburettor") if isinstance(engine, dict) else None]
    holders += [line for line, _ in _tables(data, "line")]
    for tank, _ in _tables(data, "tank"):
        holders += [outlet for outlet, _ in _tables(tank, "outlet")]
    parts = [selector.get("loss") for selector, _ in _tables(data, "selector")]
    for holder in holders:
        rows = holder.get("parts") if isinstance(holder, dict) else None
        parts += rows if isinstance(rows, list) else []
    for part in parts:
        if isinstance(part, dict) and isinstance(part.get("part"), str):
            part["part"] = spelled_as(part["part"], known_parts())


def _spell(words: Any, known: list[str]) -> None:
    if not isinstance(words, list):
        return
    for index, word in enumerate(words):
        meant = same_word(word, known) if isinstance(word, str) else None
        if meant is not None:
            words[index] = meant

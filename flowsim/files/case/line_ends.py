"""What exists in a case by name, and whether lines end where they are said to."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models_lines import CaseFile
from flowsim.files.case.words import closest, did_you_mean
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.quantities import shown

ENGINE = "engine"
"""Node name of the carburettor inlet."""


@dataclass(frozen=True, slots=True)
class KnownNames:
    """Everything that a reference may mean, with its path.

    ``outlets`` are by ``tank.outlet``; ``nodes`` are junctions, tees and selectors; ``unsound``
    holds tees and selectors whose lines are in doubt; ``ends`` are all places where a line may
    begin or end. ``drains`` are those at which a line ends, which is then one of ``drain_lines``.
    """

    tanks: dict[str, KeyPath]
    outlets: dict[str, KeyPath]
    nodes: dict[str, KeyPath]
    lines: dict[str, KeyPath]
    ends: frozenset[str]
    drains: dict[str, KeyPath] = field(default_factory=dict)
    drain_lines: frozenset[str] = frozenset()
    unsound: set[str] = field(default_factory=set)


def lines_at(node: str, case: CaseFile) -> list[str]:
    """Give the names of the lines that begin or end at a node, in file order.

    Parameters
    ----------
    node
        The node's name.
    case
        The file's model.

    Returns
    -------
    list of str
        A line that does both stands once.
    """
    return [line.name for line in case.line if node in (line.start, line.to)]


def which_one(word: str, known: Iterable[str]) -> str:
    """Give the remedy for a name that is not there.

    Parameters
    ----------
    word
        What was written.
    known
        What is there.

    Returns
    -------
    str
        What was meant, if anything is near; else what there is.
    """
    known = tuple(known)
    if closest(word, known) is None:
        return f"add one, or {did_you_mean(word, known)}"
    return did_you_mean(word, known)


def check_line_there(
    line: str, node: str, path: KeyPath, names: KnownNames, case: CaseFile, ledger: Ledger
) -> bool:
    """Check that a line exists and begins or ends at a node.

    Parameters
    ----------
    line, node
        Their names.
    path
        Where the line is named.
    names
        What exists.
    case
        The file's model.
    ledger
        Receives the mistake.

    Returns
    -------
    bool
        Whether it does.
    """
    if not line:
        return False
    if line not in names.lines:
        ledger.mistake(path, f"there is no line called {shown(line)}", which_one(line, names.lines))
        return False
    there = lines_at(node, case)
    if line not in there:
        if _has_broken_end(line, names, case):
            return False
        remedy = f"lines there: {', '.join(shown(n) for n in there) or 'none'}"
        ledger.mistake(path, f"the line {shown(line)} does not begin or end at it", remedy)
        return False
    return True


def _has_broken_end(name: str, names: KnownNames, case: CaseFile) -> bool:
    """Tell whether an end of a line is in doubt, which is reported at the line."""
    return any(line.name == name and not {line.start, line.to} <= names.ends for line in case.line)


def check_no_others(
    node: str, expected: list[str], path: KeyPath, case: CaseFile, ledger: Ledger
) -> None:
    """Check that no other line begins or ends at a node than those that have a place on it.

    Parameters
    ----------
    node
        Its name.
    expected
        Lines that have a place on it.
    path
        Its path.
    case
        The file's model.
    ledger
        Receives the mistakes.
    """
    for line in lines_at(node, case):
        if line and line not in expected:
            ledger.mistake(
                path,
                f"the line {shown(line)} begins or ends at it but has no place on it",
                "name it there, or end it elsewhere",
            )

"""Tees and drains: whether their lines are there, and the tees that only feed a drain."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from flowsim.files.case.ledger import Ledger
from flowsim.files.case.line_ends import (
    KnownNames,
    check_line_there,
    check_no_others,
    lines_at,
    which_one,
)
from flowsim.files.case.models_lines import CaseFile, DrainSection, TeeSection
from flowsim.files.case.validate import example
from flowsim.files.case.words import did_you_mean, one_of
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.quantities import shown
from flowsim.measures import BORE
from flowsim.physics.losses.fitting_catalogue import fitting
from flowsim.system.lines import Line
from flowsim.system.parts import MinorLoss


@dataclass(frozen=True, slots=True)
class PassedTee:
    """A tee that only feeds a drain: the loss that its one stream has, and the lines of that."""

    loss: MinorLoss
    lines: tuple[str, str]


def check_tee(
    tee: TeeSection, path: KeyPath, names: KnownNames, case: CaseFile, ledger: Ledger
) -> None:
    """Check the lines of a tee.

    Parameters
    ----------
    tee
        ``[[tee]]`` of the file.
    path
        Its path.
    names
        What exists; a tee in doubt is noted there.
    case
        The file's model.
    ledger
        Receives the mistakes.
    """
    if not tee.name:
        return
    feeds_drain = _feeds_drain(tee, names, case)
    _check_keys(tee, path, feeds_drain, names, ledger)
    uses: list[tuple[KeyPath, str]] = [(("run", index), name) for index, name in enumerate(tee.run)]
    if tee.branch is not None:
        uses.append((("branch",), tee.branch))
    sound = [
        check_line_there(name, tee.name, (*path, *key), names, case, ledger) for key, name in uses
    ]
    if not all(sound) or tee.name in names.unsound:
        names.unsound.add(tee.name)
        return
    legs = [name for _, name in uses]
    if len(set(legs)) < len(legs):
        ledger.mistake((*path, "branch"), "run and branch must be three lines", "name each once")
    if tee.common and tee.common not in legs:
        ledger.mistake(
            (*path, "common"),
            f"{shown(tee.common)} is none of the tee's lines",
            did_you_mean(tee.common, legs),
        )
    check_no_others(tee.name, legs, path, case, ledger)


def _feeds_drain(tee: TeeSection, names: KnownNames, case: CaseFile) -> bool:
    """Tell whether a tee has two lines that feed, and a drain at its third port."""
    legs = [*tee.run, *([] if tee.branch is None else [tee.branch])]
    feeding = [name for name in legs if name not in names.drain_lines]
    has_drain = len(feeding) < len(legs) or any(d.reaches == tee.name for d in case.drain)
    return len(feeding) == 2 and has_drain


def _check_keys(
    tee: TeeSection, path: KeyPath, feeds_drain: bool, names: KnownNames, ledger: Ledger
) -> None:
    """Check that a tee says all that it must."""
    ports = len(tee.run) + (tee.branch is not None)
    fits = ports == 3 and len(tee.run) == 2
    if feeds_drain and (fits or ports == 2):
        return
    names.unsound.update(() if fits and tee.common is not None else (tee.name,))
    if len(tee.run) != 2:
        if not ledger.is_reported((*path, "run")):
            remedy = 'write run = ["line a", "line b"]'
            ledger.mistake((*path, "run"), "the straight run has two lines", remedy)
        return
    missing = next((key for key in ("branch", "common") if getattr(tee, key) is None), None)
    if missing is not None and not ledger.is_reported((*path, missing)):
        remedy = f"write {example(TeeSection, missing)}, or a [[drain]] that reaches the tee"
        ledger.mistake((*path, missing), "is missing", remedy)


def check_drain(
    drain: DrainSection, path: KeyPath, names: KnownNames, case: CaseFile, ledger: Ledger
) -> None:
    """Check what a drain reaches.

    Parameters
    ----------
    drain
        ``[[drain]]`` of the file.
    path
        Its path.
    names
        What exists.
    case
        The file's model.
    ledger
        Receives the mistakes.
    """
    reaches = drain.reaches
    if drain.name in names.drains:
        _check_own_line(drain, path, case, ledger)
        return
    if reaches is None and not ledger.is_reported((*path, "reaches")):
        known = (*names.tanks, *names.nodes, *names.lines)
        remedy = f"{one_of(known)}, whichever it drains, or end a line at the drain"
        ledger.mistake((*path, "reaches"), "is missing", remedy)
    if not reaches:
        return
    is_line = reaches in names.lines
    is_node = reaches in names.nodes or reaches in names.tanks or reaches in names.outlets
    if is_line and is_node:
        problem = f"{shown(reaches)} is a line and a place"
        ledger.mistake((*path, "reaches"), problem, "give one of them another name")
    elif not is_line and not is_node:
        known = (*names.tanks, *names.nodes, *names.lines)
        problem = f"there is no line, junction, tee, selector or tank called {shown(reaches)}"
        ledger.mistake((*path, "reaches"), problem, which_one(reaches, known))


def _check_own_line(drain: DrainSection, path: KeyPath, case: CaseFile, ledger: Ledger) -> None:
    """Check a drain with a line of its own."""
    lines = lines_at(drain.name, case)
    if len(lines) > 1:
        problem = f"{len(lines)} lines end at it: {', '.join(shown(name) for name in lines)}"
        ledger.mistake(path, problem, "a drain has one line; join the others by a tee")
    there = {line.name for line in case.line if drain.name in (line.start, line.to)}
    there |= {end for line in case.line if line.name in there for end in (line.start, line.to)}
    if drain.reaches is not None and drain.reaches not in there:
        problem = f"it reaches what its line {shown(lines[0])} leads to"
        ledger.mistake((*path, "reaches"), problem, "delete it, or end the line elsewhere")


def passed_tee(
    tee: TeeSection,
    path: KeyPath,
    bores: Mapping[str, float | None],
    names: KnownNames,
    ledger: Ledger,
) -> PassedTee | None:
    """Give the loss of a tee that only feeds a drain.

    Parameters
    ----------
    tee
        ``[[tee]]`` of the file, checked.
    path
        Its path.
    bores
        [m] Bore of each line by name.
    names
        What exists.
    ledger
        Receives the default of its bore.

    Returns
    -------
    PassedTee or None
        None for any other tee. Two lines on the run: "tee run"; one of them on the branch: "tee
        turn". Nothing flows to the drain, so the loss is on the one stream, once.
    """
    legs = [*tee.run, *([] if tee.branch is None else [tee.branch])]
    feeding = [name for name in legs if name in names.lines and name not in names.drain_lines]
    if tee.name in names.unsound or len(feeding) != 2:
        return None
    known = [bore for name in feeding if (bore := bores.get(name)) is not None]
    bore = min(known, default=math.nan) if tee.bore is None else tee.bore.value
    if math.isnan(bore):
        return None
    if tee.bore is None:
        ledger.default(
            (*path, "bore"), f"{BORE.significant(bore, 4)}", "the narrower of its lines'"
        )
    kind = "tee run" if all(name in tee.run for name in feeding) else "tee turn"
    loss = replace(fitting(kind, bore, f"{tee.name}, {kind}"), joint=tee.name)
    return PassedTee(loss, (feeding[0], feeding[1]))


def with_passed_tees(
    lines: Sequence[Line | None], tees: Mapping[str, PassedTee]
) -> list[Line | None]:
    """Put the loss of each tee that only feeds a drain into one of its two lines.

    Parameters
    ----------
    lines
        As built, None where one could not be.
    tees
        By name.

    Returns
    -------
    list of Line or None
        The loss stands at the end of a line that ends there, else at the start of the other.
    """
    found = list(lines)
    for name, tee in tees.items():
        there = [n for n, line in enumerate(found) if line is not None and line.name in tee.lines]
        ending = [n for n in there if (line := found[n]) is not None and line.end == name]
        for number in (ending or there)[:1]:
            line = found[number]
            assert line is not None
            own, *others = line.parts
            parts = (own, *others, tee.loss) if ending else (own, tee.loss, *others)
            found[number] = replace(line, parts=parts)
    return found

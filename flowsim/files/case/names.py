"""The names of a case: each once, and each reference to something that exists."""

from collections.abc import Iterable

from flowsim.files.case.ledger import Ledger
from flowsim.files.case.line_ends import (
    ENGINE,
    KnownNames,
    check_line_there,
    check_no_others,
    lines_at,
    which_one,
)
from flowsim.files.case.models_lines import CaseFile, LineSection, SelectorSection
from flowsim.files.case.tees import check_drain, check_tee
from flowsim.files.case.words import did_you_mean
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.quantities import shown
from flowsim.network.placing import RESERVED

__all__ = ["ENGINE", "KnownNames", "check_names", "lines_at"]


def check_names(case: CaseFile, ledger: Ledger) -> KnownNames:
    """Collect all names and check every reference.

    Parameters
    ----------
    case
        The file's model.
    ledger
        Receives the mistakes.

    Returns
    -------
    KnownNames
        What exists.
    """
    names = _collect(case, ledger)
    for index, line in enumerate(case.line):
        _check_ends(line, ("line", index), names, ledger)
    for index, tee in enumerate(case.tee):
        check_tee(tee, ("tee", index), names, case, ledger)
    for index, selector in enumerate(case.selector):
        _check_selector(selector, ("selector", index), names, case, ledger)
    for index, junction in enumerate(case.junction):
        if junction.name and not lines_at(junction.name, case):
            ledger.mistake(
                ("junction", index),
                "no line begins or ends at it",
                "join a line to it or delete it",
            )
    for index, drain in enumerate(case.drain):
        check_drain(drain, ("drain", index), names, case, ledger)
    return names


def _collect(case: CaseFile, ledger: Ledger) -> KnownNames:
    tanks = _unique(((t.name, ("tank", i)) for i, t in enumerate(case.tank)), "tank", ledger)
    outlets: dict[str, KeyPath] = {}
    for index, tank in enumerate(case.tank):
        path: KeyPath = ("tank", index, "outlet")
        own = _unique(((o.name, (*path, i)) for i, o in enumerate(tank.outlet)), "outlet", ledger)
        if not tank.outlet and not ledger.is_reported(path):
            ledger.mistake(path, "the tank has no outlet", "write a section [[tank.outlet]]")
        outlets.update({f"{tank.name}.{name}": at for name, at in own.items()})
    places = [(j.name, ("junction", i)) for i, j in enumerate(case.junction)]
    places += [(t.name, ("tee", i)) for i, t in enumerate(case.tee)]
    places += [(s.name, ("selector", i)) for i, s in enumerate(case.selector)]
    nodes = _unique(places, "junction, tee or selector", ledger)
    for name, at in [*nodes.items(), *tanks.items()]:
        if name == ENGINE:
            ledger.mistake(
                (*at, "name"), f"{shown(ENGINE)} is the carburettor inlet", "choose another name"
            )
    _refuse_reserved((*nodes.items(), *tanks.items()), ledger)
    for name in nodes.keys() & tanks.keys():
        ledger.mistake(
            (*nodes[name], "name"), f"a tank is called {shown(name)} too", "choose another name"
        )
    lines = _unique(((n.name, ("line", i)) for i, n in enumerate(case.line)), "line", ledger)
    _refuse_reserved(lines.items(), ledger)
    drains = _unique(((d.name, ("drain", i)) for i, d in enumerate(case.drain)), "drain", ledger)
    for key, found in (("tank", case.tank), ("line", case.line)):
        if not found and not ledger.is_reported((key,)):
            ledger.mistake((key,), f"there is no {key}", f"write a section [[{key}]]")
    feeding = frozenset((*outlets, *nodes, ENGINE))
    used = {end for line in case.line for end in (line.start, line.to)} - feeding
    at_line = {name: path for name, path in drains.items() if name in used}
    to_drain = frozenset(line.name for line in case.line if {line.start, line.to} & {*at_line})
    return KnownNames(tanks, outlets, nodes, lines, feeding | {*at_line}, at_line, to_drain)


def _refuse_reserved(names: Iterable[tuple[str, KeyPath]], ledger: Ledger) -> None:
    """Report the names by which the results call the ends behind the carburettor inlet."""
    for name, at in names:
        if name in RESERVED:
            problem = f"{shown(name)} is the name that the results give to an end at the engine"
            ledger.mistake((*at, "name"), problem, "write another name")


def _unique(names: Iterable[tuple[str, KeyPath]], what: str, ledger: Ledger) -> dict[str, KeyPath]:
    """Collect names and report those that are given twice."""
    seen: dict[str, KeyPath] = {}
    for name, path in names:
        if name in seen:
            first = ledger.source.line(seen[name])
            ledger.mistake(
                (*path, "name"),
                f"another {what} is called {shown(name)} (line {first})",
                "give each its own name",
            )
        elif name:
            seen[name] = path
    return seen


def _check_ends(line: LineSection, path: KeyPath, names: KnownNames, ledger: Ledger) -> None:
    for key, end in (("from", line.start), ("to", line.to)):
        if not end or end in names.ends:
            continue
        if end in names.tanks:
            outlets = [name for name in names.outlets if name.startswith(f"{end}.")]
            remedy = f"name its outlet: {' or '.join(shown(name) for name in outlets)}"
            problem = f"{shown(end)} is a tank"
        else:
            remedy = which_one(end, (*names.outlets, *names.nodes, ENGINE))
            problem = f"there is no outlet, junction, tee or selector called {shown(end)}"
        ledger.mistake((*path, key), problem, remedy)
    if line.start and line.start == line.to:
        ledger.mistake((*path, "to"), "the line ends where it begins", "name its other end")


def _check_selector(
    selector: SelectorSection, path: KeyPath, names: KnownNames, case: CaseFile, ledger: Ledger
) -> None:
    if not selector.name:
        return
    uses = [(("ports", port), line) for port, line in selector.ports.items()]
    sound = [
        check_line_there(line, selector.name, (*path, *key), names, case, ledger)
        for key, line in [*uses, (("outlet",), selector.outlet)]
    ]
    if not all(sound) or not selector.ports or not selector.positions:
        names.unsound.add(selector.name)
    else:
        legs = [*selector.ports.values(), selector.outlet]
        if len(set(legs)) < len(legs):
            problem = "a line is named twice among ports and outlet"
            ledger.mistake((*path, "ports"), problem, "name each line once")
        check_no_others(selector.name, legs, path, case, ledger)
    if not selector.ports and not ledger.is_reported((*path, "ports")):
        ledger.mistake((*path, "ports"), "no port is named", 'write ports = { left = "..." }')
    _check_positions(selector, path, ledger)


def _check_positions(selector: SelectorSection, path: KeyPath, ledger: Ledger) -> None:
    for position, ports in selector.positions.items():
        for index, port in enumerate(ports):
            if selector.ports and port not in selector.ports:
                ledger.mistake(
                    (*path, "positions", position, index),
                    f"there is no port called {shown(port)}",
                    did_you_mean(port, tuple(selector.ports)),
                )
    for index, position in enumerate(selector.judged):
        if not selector.positions:
            continue
        if position not in selector.positions:
            ledger.mistake(
                (*path, "judged", index),
                f"there is no position called {shown(position)}",
                did_you_mean(position, tuple(selector.positions)),
            )
        elif not selector.positions[position]:
            ledger.mistake(
                (*path, "judged", index),
                f"the position {shown(position)} opens no port",
                "judge only positions meant for take-off and climb",
            )
    if not selector.positions and not ledger.is_reported((*path, "positions")):
        remedy = 'write positions = { left = ["left"], off = [] }'
        ledger.mistake((*path, "positions"), "no position is named", remedy)
    if not selector.judged and not ledger.is_reported((*path, "judged")):
        ledger.mistake(
            (*path, "judged"),
            "no position is judged",
            'name those meant for take-off and climb, judged = ["left", "right"]',
        )

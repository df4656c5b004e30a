"""Whether every tank can feed the engine: paths of lines through selectors and one-way valves."""

import itertools
from collections import defaultdict

from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models_lines import CaseFile, LineSection
from flowsim.files.case.names import ENGINE, KnownNames
from flowsim.files.case.words import closest
from flowsim.files.units.quantities import shown

_Vertex = tuple[str, ...]
_Edges = dict[_Vertex, set[_Vertex]]

_ANYWHERE: _Vertex = ("?",)


def check_paths(case: CaseFile, names: KnownNames, ledger: Ledger) -> None:
    """Check that the engine can be fed, and that every tank can feed it.

    What hangs on a reference that is reported already is taken to lead anywhere.

    Parameters
    ----------
    case
        The file's model.
    names
        What exists.
    ledger
        Receives mistakes and cautions.
    """
    if not case.tank or not case.line:
        return
    open_feeds = _feeding(case, names, with_closed=False)
    all_feeds = _feeding(case, names, with_closed=True)
    open_tanks = [tank.name for tank in case.tank if ("tank", tank.name) in open_feeds]
    if not any(line.to == ENGINE or line.start == ENGINE for line in case.line):
        if not _has_unknown_end(case, names):
            ledger.mistake(
                ("line",), "no line leads to the engine", 'end the last line with to = "engine"'
            )
        return
    if not open_tanks:
        ledger.mistake(
            ("engine",),
            "no open path of lines leads to it from any tank",
            "check from and to of the lines, closed lines, and the selector's positions",
        )
        return
    for index, tank in enumerate(case.tank):
        if tank.name in open_tanks or not tank.name or not tank.outlet:
            continue
        if ("tank", tank.name) in all_feeds:
            ledger.caution(("tank", index), "it is shut off from the engine by a closed line")
            continue
        outlets = ", ".join(shown(f"{tank.name}.{outlet.name}") for outlet in tank.outlet)
        ledger.mistake(
            ("tank", index),
            "no path of lines leads from it to the engine",
            f"join {outlets} to the engine by a line, or delete the tank",
        )


def _has_unknown_end(case: CaseFile, names: KnownNames) -> bool:
    return any(end not in names.ends for line in case.line for end in (line.start, line.to))


def _feeding(case: CaseFile, names: KnownNames, *, with_closed: bool) -> set[_Vertex]:
    """Give every vertex from which fuel can reach the engine."""
    into = _reversed_edges(case, names, with_closed=with_closed)
    engine: _Vertex = (ENGINE,)
    reached = {engine}
    waiting = [engine]
    while waiting:
        for before in into[waiting.pop()]:
            if before not in reached:
                reached.add(before)
                waiting.append(before)
    return reached


def _reversed_edges(case: CaseFile, names: KnownNames, *, with_closed: bool) -> _Edges:
    into: _Edges = defaultdict(set)

    def join(start: _Vertex, end: _Vertex, both: bool = True) -> None:
        into[end].add(start)
        if both:
            into[start].add(end)

    join(_ANYWHERE, (ENGINE,))
    strict = _strict_selectors(case, names)
    for line in case.line:
        if line.closed and not with_closed:
            continue
        ends = [_vertex(end, line.name, names, strict) for end in (line.start, line.to)]
        join(ends[0], ends[1], both=not _is_one_way(line))
    for tank in case.tank:
        for outlet in tank.outlet:
            join(("tank", tank.name), (f"{tank.name}.{outlet.name}",))
    for selector in case.selector:
        if selector.name not in strict:
            continue
        for ports in selector.positions.values():
            lines = [selector.ports[port] for port in ports if port in selector.ports]
            for first, second in itertools.pairwise([*lines, selector.outlet] if lines else []):
                join((selector.name, first), (selector.name, second))
    return into


def _strict_selectors(case: CaseFile, names: KnownNames) -> set[str]:
    """Give the selectors whose ports are in order; the others are taken to join all lines."""
    return {s.name for s in case.selector if s.name and s.name not in names.unsound}


def _vertex(end: str, line: str, names: KnownNames, strict: set[str]) -> _Vertex:
    if end in names.tanks:
        return ("tank", end)
    if end not in names.ends:
        close = closest(end, (*names.outlets, *names.nodes, ENGINE))
        if close is None:
            return _ANYWHERE
        end = close
    return (end, line) if end in strict else (end,)


def _is_one_way(line: LineSection) -> bool:
    return any(part.part == "one-way valve" for part in line.parts)

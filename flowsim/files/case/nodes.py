"""Junctions, tees, selectors and drains of a case."""

import math

from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models import PartSection
from flowsim.files.case.models_lines import CaseFile, DrainSection, SelectorSection, TeeSection
from flowsim.files.case.names import KnownNames, lines_at
from flowsim.files.case.part_laws import PartPlace
from flowsim.files.case.parts import build_part
from flowsim.files.case.places import Places, point_of
from flowsim.files.case.size import line_bore
from flowsim.files.case.tees import PassedTee, passed_tee
from flowsim.files.case.validate import example
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.plausible import MOST_POSITIONS
from flowsim.measures import BORE
from flowsim.system.lines import Drain, Junction, Node, Selector, Tee
from flowsim.system.points import Point

_SELECTOR = PartSection.model_construct(_fields_set=set(), part="selector")


def build_nodes(
    case: CaseFile, names: KnownNames, places: Places, fuel_density: float, ledger: Ledger
) -> tuple[tuple[Node, ...], dict[str, PassedTee]]:
    """Build junctions, tees and selectors.

    Parameters
    ----------
    case
        The file's model.
    names
        What exists.
    places
        Places of the nodes.
    fuel_density
        [kg/m3] Density of the fuel at 15 degC.
    ledger
        Receives mistakes and origins.

    Returns
    -------
    tuple of Node, dict of PassedTee
        Those that could be built, in this order; a tee that only feeds a drain is a junction, and
        its loss is given by its name.
    """
    bores = {line.name: line_bore(line) for line in case.line}
    nodes: list[Node | None] = [
        Junction(name=section.name, at=places[section.name])
        for section in case.junction
        if section.name in places
    ]
    passed: dict[str, PassedTee] = {}
    for index, section in enumerate(case.tee):
        loss = passed_tee(section, ("tee", index), bores, names, ledger)
        if loss is None:
            nodes.append(_tee(section, ("tee", index), places, bores, ledger))
        elif section.name in places:
            passed[section.name] = loss
            nodes.append(Junction(name=section.name, at=places[section.name]))
    nodes += [
        _selector(section, ("selector", index), places, bores, fuel_density, ledger)
        for index, section in enumerate(case.selector)
    ]
    _count_positions(case, ledger)
    return tuple(node for node in nodes if node is not None), passed


def _count_positions(case: CaseFile, ledger: Ledger) -> None:
    """Refuse more settings of all selectors together than can be worked out."""
    count = 1
    for index, section in enumerate(case.selector):
        count *= max(1, len(section.positions))
        if count > MOST_POSITIONS:
            together = (
                "" if index == 0 else f", with those of the selectors before {count} settings"
            )
            ledger.mistake(
                ("selector", index, "positions"),
                f"{len(section.positions)} positions{together}: every one is solved in every "
                f"attitude, and at most {MOST_POSITIONS} can be",
                "leave out positions that are never used, or write a case for each way the valves "
                "are set",
            )
            return


def _tee(
    section: TeeSection,
    path: KeyPath,
    places: Places,
    bores: dict[str, float | None],
    ledger: Ledger,
) -> Tee | None:
    if section.branch is None or section.common is None:
        return None
    bore = bores.get(section.common) if section.bore is None else section.bore.value
    if section.bore is None and bore is not None and not math.isnan(bore):
        note = "the common line's"
        ledger.default((*path, "bore"), f"{BORE.significant(bore, 4)}", note)
    if section.name not in places or bore is None or len(section.run) != 2:
        return None
    return Tee(
        name=section.name,
        at=places[section.name],
        run=(section.run[0], section.run[1]),
        branch=section.branch,
        common=section.common,
        bore=bore,
    )


def _selector(
    section: SelectorSection,
    path: KeyPath,
    places: Places,
    bores: dict[str, float | None],
    fuel_density: float,
    ledger: Ledger,
) -> Selector | None:
    at: KeyPath = (*path, "loss")
    given = section.loss
    if given is None:
        ledger.default(at, "selector of the catalogue", "a selector's loss varies widely: measure")
        given = _SELECTOR
    if given.part in ("tube", "hose"):
        remedy = f"write {example(SelectorSection, 'loss')}"
        ledger.mistake((*at, "part"), f'"{given.part}" is not a selector', remedy)
        return None
    bore = bores.get(section.outlet)
    place = PartPlace(at, math.nan if bore is None else bore, fuel_density, ledger)
    loss = build_part(given, place)
    if section.name not in places or loss is None:
        return None
    return Selector(
        name=section.name,
        at=places[section.name],
        ports=dict(section.ports),
        outlet=section.outlet,
        positions=dict(section.positions),
        judged=section.judged,
        loss=loss,
    )


def build_drains(
    case: CaseFile, names: KnownNames, places: Places, ledger: Ledger
) -> tuple[Drain, ...]:
    """Build the drains.

    Parameters
    ----------
    case
        The file's model.
    names
        What exists.
    places
        Places of the nodes.
    ledger
        Receives mistakes and defaults.

    Returns
    -------
    tuple of Drain
        Those that could be built, in file order.
    """
    drains = []
    for index, section in enumerate(case.drain):
        at, own_line = _drain_place(section, case, places), _own_line(section, case, names)
        if at is None:
            if own_line or section.reaches in names.lines or section.reaches in names.tanks:
                remedy = f"write {example(DrainSection, 'at')}"
                ledger.mistake(("drain", index, "at"), "is missing", remedy)
            continue
        drains.append(Drain(name=section.name, at=at, reaches=own_line or section.reaches or ""))
    return tuple(drains)


def _own_line(section: DrainSection, case: CaseFile, names: KnownNames) -> str:
    """Name the line that ends at a drain, "" if none does."""
    there = lines_at(section.name, case) if section.name in names.drains else []
    return there[0] if there else ""


def _drain_place(section: DrainSection, case: CaseFile, places: Places) -> Point | None:
    """Give the place of a drain: its own, its node's, or its tank's sump."""
    if section.at is not None:
        return point_of(section.at)
    if section.name in places:
        return places[section.name]
    for tank in case.tank:
        if tank.name == section.reaches and tank.sump_at is not None:
            return point_of(tank.sump_at)
    return places.get(section.reaches or "")

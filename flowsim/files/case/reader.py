"""Read a case file: TOML text to a checked fuel system, or every mistake in one go.

The way: bytes, text, data with lines (``case_source``), the file's model (``case_validate``),
names and references (``case_names``), the fuel system part by part, paths (``case_graph``). Each
stage writes its mistakes into one ledger and goes on with what it could read.
"""

import hashlib
from pathlib import Path

from flowsim.errors import InputError, Mistake
from flowsim.files.case.calibration import apply_calibration
from flowsim.files.case.carburettor import check_seat
from flowsim.files.case.defaults import with_usual_origin
from flowsim.files.case.draft import Draft
from flowsim.files.case.engine import build_engine, build_test
from flowsim.files.case.flight import build_flight
from flowsim.files.case.fuel import (
    build_fuel,
    build_temperatures,
    check_heat_pickup,
    density_at_15,
)
from flowsim.files.case.given import Given, GivenPoint
from flowsim.files.case.graph import check_paths
from flowsim.files.case.joints import with_joints
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.lines import build_line
from flowsim.files.case.models import CaseSection
from flowsim.files.case.models_lines import CaseFile
from flowsim.files.case.names import check_names
from flowsim.files.case.nodes import build_drains, build_nodes
from flowsim.files.case.outlets import outlet_fittings
from flowsim.files.case.places import locate
from flowsim.files.case.routing import build_routing, check_slip_fuel
from flowsim.files.case.source import open_case
from flowsim.files.case.tanks import build_tank
from flowsim.files.case.tees import with_passed_tees
from flowsim.files.case.validate import case_model
from flowsim.files.case.vents import check_vent_groups
from flowsim.files.case.ways import check_ways
from flowsim.files.case.what_ifs import check_what_ifs
from flowsim.files.toml.source import decode, file_name, read_bytes
from flowsim.network.bores import end_bores
from flowsim.system.engine import Engine
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Line

MOST_THINGS = 1000
"""Tanks, lines and nodes of one file; more is no fuel system of an aeroplane."""


def read_case(path: Path) -> FuelSystem:
    """Read a case file.

    Parameters
    ----------
    path
        The file: TOML in UTF-8, at most 1 MiB.

    Returns
    -------
    FuelSystem
        Checked: every reference resolves, every node has a place.

    Raises
    ------
    InputError
        The file cannot be read, or with all mistakes in it, in file order.
    """
    return read_case_and_digest(path)[0]


def read_case_and_digest(path: Path) -> tuple[FuelSystem, str]:
    """Read a case file once: the system, and the digest of the very bytes that it was read from.

    Parameters
    ----------
    path
        The file: TOML in UTF-8, at most 1 MiB.

    Returns
    -------
    FuelSystem and str
        The checked system; SHA-256 of the bytes, 64 hexadecimal digits.

    Raises
    ------
    InputError
        The file cannot be read, or with all mistakes in it, in file order.
    """
    name = file_name(path)
    content = read_bytes(path)
    return read_case_text(decode(content, name), name), hashlib.sha256(content).hexdigest()


def read_case_text(text: str, name: str) -> FuelSystem:
    """Read the text of a case file.

    Parameters
    ----------
    text
        TOML.
    name
        What to call the file in messages.

    Returns
    -------
    FuelSystem
        Checked: every reference resolves, every node has a place.

    Raises
    ------
    InputError
        With all mistakes, in file order.
    """
    draft = read_draft(text, name)
    if draft.mistakes:
        raise InputError(list(draft.mistakes))
    if draft.system is None:
        raise InputError(
            [Mistake(name, None, "", "could not be understood", "compare it with the starter case")]
        )
    return draft.system


def read_draft(text: str, name: str) -> Draft:
    """Read as much of a case as can be read, whatever is wrong with it.

    Parameters
    ----------
    text
        TOML, finished or not.
    name
        What to call the file in messages.

    Returns
    -------
    Draft
        Its mistakes are those that ``read_case_text`` raises, in the same order.
    """
    draft = Draft(name=name, text=text)
    try:
        opened = open_case(text, name)
    except InputError as error:
        draft.mistakes = tuple(error.mistakes)
        return draft
    ledger, draft.data, draft.has_slips = opened
    case = case_model(ledger)
    if case is None or _is_too_large(case):
        problem = f"has more than {MOST_THINGS} tanks, lines and nodes"
        remedy = "leave out what the engine is not fed by"
        draft.mistakes = tuple(ledger.mistakes) or (Mistake(name, None, "", problem, remedy),)
        return draft
    draft.model = case = with_usual_origin(case)
    system = apply_calibration(case.calibration, _build(case, ledger, draft), text, ledger)
    draft.mistakes = tuple(ledger.mistakes)
    draft.provenance, draft.remarks = ledger.provenance, ledger.remarks
    draft.system = None if draft.mistakes else system
    return draft


def _is_too_large(case: CaseFile) -> bool:
    things = (case.tank, case.line, case.junction, case.tee, case.selector, case.drain,
              case.obstacle, case.crossing, case.vent_line)  # fmt: skip
    return sum(len(thing) for thing in things) > MOST_THINGS


def _build(case: CaseFile, ledger: Ledger, draft: Draft) -> FuelSystem | None:
    """Build the fuel system of what could be read; None if something is missing in it.

    What can be drawn of an unfinished case is put into the draft.
    """
    ledger.note_assumed((), case)
    _note_not_said(case, ledger)
    names = check_names(case, ledger)
    fuel = build_fuel(case.fuel, ledger)
    temperatures = build_temperatures(case.fuel, ledger)
    check_heat_pickup(case.fuel, case.engine.heat_pickup, fuel, ledger)
    density = density_at_15(fuel)
    engine = build_engine(case.engine, density, ledger)
    flight = build_flight(case.flight, ledger)
    draw, height_deviation = build_test(case.test, ledger)
    places = locate(case, names, ledger)
    tanks = [build_tank(tank, i, case.test.draw, ledger) for i, tank in enumerate(case.tank)]
    draft.places, draft.tanks = places, tuple(tanks)
    check_vent_groups(tanks, ledger)
    outlets = outlet_fittings(case, ledger)
    lines = [
        build_line(line, i, places, outlets, density, ledger) for i, line in enumerate(case.line)
    ]
    nodes, passed = build_nodes(case, names, places, density, ledger)
    lines = with_joints(case, with_passed_tees(lines, passed), names, ledger)
    drains = build_drains(case, names, places, ledger)
    routing = build_routing(case, names, lines, ledger)
    check_slip_fuel(case, tanks, ledger)
    _check_seat(engine, lines, ledger)
    check_paths(case, names, ledger)
    check_ways(case, ledger)
    check_what_ifs(case.what_if, ledger)
    if ledger.has_mistakes or fuel is None or None in tanks or None in lines:
        return None
    return FuelSystem(
        title=case.title,
        note=case.note or "",
        tanks=tuple(tank for tank in tanks if tank is not None),
        lines=tuple(n for n in lines if n is not None and n.name not in names.drain_lines),
        drain_lines=tuple(n for n in lines if n is not None and n.name in names.drain_lines),
        nodes=nodes,
        engine=engine,
        flight=flight,
        fuel=fuel,
        temperatures=temperatures,
        test_draw=draw,
        height_deviation=max(height_deviation, _stated_height_accuracy(case)),
        drains=drains,
        provenance=ledger.provenance,
        not_said=ledger.not_said,
        cautions=ledger.cautions,
        what_ifs=case.what_if,
        routing=routing,
    )


def _check_seat(engine: Engine, lines: list[Line | None], ledger: Ledger) -> None:
    there = []
    for line in lines:
        if line is not None and engine.inlet in (line.start, line.end):
            begin, end = end_bores(line)
            there.append(end if line.end == engine.inlet else begin)
    if engine.carburettor is not None and there:
        check_seat(engine.carburettor.parts, min(there), ledger)


def _note_not_said(case: CaseFile, ledger: Ledger) -> None:
    """Note what is stated without an origin, in the sections that reach a verdict."""
    single: dict[str, CaseSection] = {
        "fuel": case.fuel, "engine": case.engine, "flight": case.flight, "test": case.test,
    }  # fmt: skip
    listed: dict[str, tuple[CaseSection, ...]] = {
        "tank": case.tank, "line": case.line, "junction": case.junction, "tee": case.tee,
        "selector": case.selector,
    }  # fmt: skip
    for key, section in single.items():
        ledger.note_not_said((key,), section)
    for key, sections in listed.items():
        for index, section in enumerate(sections):
            ledger.note_not_said((key, index), section)


def _stated_height_accuracy(case: CaseFile) -> float:
    """Give the largest accuracy [m] stated with a waterline or a rise, zero if none is."""
    points: list[GivenPoint | None] = [case.engine.inlet_at]
    points += [outlet.at for tank in case.tank for outlet in tank.outlet]
    points += [junction.at for junction in case.junction]
    points += [tee.at for tee in case.tee]
    points += [selector.at for selector in case.selector]
    if case.engine.carburettor is not None:
        points.append(case.engine.carburettor.float_level_at)
    heights: list[Given | None] = [point.waterline for point in points if point is not None]
    heights += [line.rise for line in case.line]
    return max(
        (h.accuracy for h in heights if h is not None and h.accuracy is not None), default=0.0
    )

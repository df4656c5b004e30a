"""Beside the unusable fuel: refill of header tanks, and what a blocked vent does."""

import math
from collections.abc import Sequence

from flowsim.document.blocks import Block
from flowsim.document.build import heading, paragraph, table
from flowsim.document.words.telling import told
from flowsim.measures import MASS_FLOW, TEMPERATURE, VOLUME
from flowsim.reports.words.units import key_of_back, mass_flow_cell, mass_flow_words, number
from flowsim.studies.changes.blocked_vent import ASSUMED, BlockedVentRow
from flowsim.studies.changes.shut_airspaces import LEAST
from flowsim.studies.unusable.header_tank import HeaderRow

_SHORT_STATE = {LEAST: "least"}


def header_blocks(headers: Sequence[HeaderRow]) -> list[Block]:
    """Tell whether header tanks are refilled as fast as the engine draws."""
    parts: list[Block] = [heading("Header tank: refill against full-power burn")]
    rows = [
        (
            row.header,
            row.selector,
            row.fuel_state,
            mass_flow_cell(row.refill),
            MASS_FLOW.cell(row.burn, 1),
            "keeps up" if row.keeps_up else "falls short",
            "-" if row.keeps_up else _minutes(row.time_until_empty),
        )
        for row in headers
    ]
    names = ("header", "selector", "fuel", "refill", "burn", "", "empty in min")
    parts.append(table(names, rows, left=3))
    least = f"Least refill [{MASS_FLOW.name}] over pitch and turns; screens at 20 % clear."
    parts.append(paragraph(f"{least} {key_of_back(row[3] for row in rows)}".rstrip()))
    for name in dict.fromkeys(row.header for row in headers):
        first = next(row for row in headers if row.header == name)
        if first.volume is None:
            words = f'"{name}": how long it lasts alone is not known; state its volume in the case.'
        else:
            words = (
                f'"{name}": alone it lasts {_minutes(first.time_alone)} min at full-power burn '
                f"({VOLUME.words(first.volume, 2)})."
            )
        parts.append(paragraph(words))
    return parts


def _minutes(seconds: float) -> str:
    return "-" if not math.isfinite(seconds) else number(seconds / 60.0, 1)


def blocked_vent_blocks(rows: Sequence[BlockedVentRow]) -> list[Block]:
    """Tell what a blocked vent does, on the ground and in flight."""
    parts: list[Block] = [
        heading("A blocked vent"),
        paragraph(
            "Drawn from the tank before the flow is lost, its airspace shut. A ground test that "
            "draws less than it takes to stop the flow passes with the vent blocked: draw 1.5 "
            "times that, or test the vent with full tanks. Least: the least take-off fuel. Taken "
            f"for granted: {told(ASSUMED)}."
        ),
    ]
    for asked, title in (("required", "Ground test, required flow"), ("burn", "In flight, burn")):
        cells = [_cells(row) for row in rows if row.asked == asked]
        parts.append(paragraph(f"{title}, {mass_flow_words(_demand(rows, asked))}:"))
        names = (
            "from (selector)", "fuel", TEMPERATURE.name, f"ullage {VOLUME.name}",
            f"lost at {VOLUME.name}", "min", "test draws",
        )  # fmt: skip
        parts.append(table(names, cells, left=2))
    parts.append(
        paragraph(
            '"goes on": other tanks feed on, or the fuel runs out first, so the flow does not show '
            "a blocked vent."
        )
    )
    short = [row for row in rows if row.asked == "required" and not row.shown_by_test]
    if short:
        parts.append(
            paragraph(
                "The stated draw of the ground test does not show a blocked vent in "
                f"{len(short)} of {sum(row.asked == 'required' for row in rows)} cases."
            )
        )
    return parts


def _cells(row: BlockedVentRow) -> tuple[str, ...]:
    return (
        f"{' + '.join(row.drawn_from)} ({row.selector})",
        _SHORT_STATE.get(row.fuel_state, row.fuel_state),
        TEMPERATURE.cell(row.temperature, 0),
        VOLUME.cell(row.ullage, 1),
        _drawn(row),
        _minutes(row.time_until_lost),
        _needed(row),
    )


def _demand(rows: Sequence[BlockedVentRow], asked: str) -> float:
    return next((row.demand for row in rows if row.asked == asked), math.nan)


def _drawn(row: BlockedVentRow) -> str:
    if row.drawn_until_lost == math.inf:
        return "goes on"
    return VOLUME.cell(row.drawn_until_lost, 2)


def _needed(row: BlockedVentRow) -> str:
    if row.asked != "required" or row.drawn_until_lost == math.inf:
        return "-"
    return VOLUME.cell_with_unit(row.test_draw_needed, 2)

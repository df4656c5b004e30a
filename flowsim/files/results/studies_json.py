"""The answers of the size, uncertainty, what-if and compare studies as JSON objects.

Units stand in the keys; numbers that do not exist are null. Keys are added, never renamed.
"""

import math

from flowsim.document.words.telling import all_told, told
from flowsim.files.case.differences import Difference
from flowsim.files.results.check_json import (
    all_cautions,
    band_end,
    decision_object,
    requirement_object,
    scenario_object,
    versions,
)
from flowsim.files.results.json_text import Json, JsonValue
from flowsim.files.units import shown as to
from flowsim.studies.result import AdequacyResult, Decision, ResultLine
from flowsim.studies.sizing.edge_search import Edge
from flowsim.studies.sizing.inverse import Basis, EdgePair, Remarks
from flowsim.studies.sizing.study import SizeResult, SizingResult
from flowsim.studies.uncertainty.study import Spread, UncertaintyResult
from flowsim.studies.what_if.comparison import ComparisonResult
from flowsim.studies.what_if.result import WhatIfResult, WhatIfRow
from flowsim.system.fuel_system import FuelSystem

SIZE_SCHEMA = "flowsim.size/1"
UNCERTAINTY_SCHEMA = "flowsim.uncertainty/1"
WHAT_IF_SCHEMA = "flowsim.what-if/1"
COMPARE_SCHEMA = "flowsim.compare/1"


def finite(value: float | None) -> float | None:
    """Give a plain float, or None for what is no number."""
    return None if value is None or not math.isfinite(value) else float(value)


def percent(ratio: float | None) -> float | None:
    """Give a ratio [-] in percent, or None."""
    return None if ratio is None else finite(100.0 * ratio)


def case_object(title: str, file: str, sha256: str) -> Json:
    """Give what identifies a case."""
    return {"title": title, "file": file, "sha256": sha256}


def size_object(
    system: FuelSystem, result: SizingResult, edges: tuple[EdgePair, ...], file: str, sha256: str
) -> Json:
    """Give the answer of the size study.

    Parameters
    ----------
    system : FuelSystem
    result : SizingResult
    edges : tuple of EdgePair
        Questions asked the other way round.
    file, sha256 : str
        The case file and its digest.

    Returns
    -------
    dict
    """
    sizes = [_size_object(item, system.engine.burn) for item in result.sizes]
    return {
        "schema": SIZE_SCHEMA,
        "case": case_object(result.title, file, sha256),
        "lines": list(result.lines),
        "judged_on": _judged_on(result.draws, result.seed),
        "sizes": list(sizes),
        "smallest_on_nominal_values": _name(result, result.smallest_nominal),
        "smallest_at_5th_percentile": _name(result, result.smallest_low),
        "limit": {
            "size": _name(result, result.limit_at),
            "without_part": [
                {"part": told(item.part), "least_percent_nominal": percent(item.least)}
                for item in result.limit
            ],
        },
        "edges": [edge_object(edge) for edge in edges],
        "assumptions": list(all_told(result.assumptions)),
        "cautions": list(all_cautions(result.cautions)),
        "versions": versions(),
    }


def edges_object(
    title: str,
    edges: tuple[EdgePair, ...],
    remarks: Remarks,
    basis: Basis,
    file: str,
    sha256: str,
) -> Json:
    """Give the answers of questions asked the other way round, without a list of sizes."""
    return {
        "schema": SIZE_SCHEMA,
        "case": case_object(title, file, sha256),
        "judged_on": _judged_on(basis.draws, basis.seed),
        "edges": [edge_object(edge) for edge in edges],
        "assumptions": list(all_told(remarks.assumptions)),
        "cautions": list(all_cautions(remarks.cautions)),
        "versions": versions(),
    }


def _name(result: SizingResult, index: int | None) -> str | None:
    return None if index is None else told(result.sizes[index].size.name)


def _size_object(item: SizeResult, burn: float) -> Json:
    size = item.size
    return {
        "size": told(size.name),
        "as_it_is": item.is_present,
        "bore_mm": finite(to.millimetres(size.bore)),
        "outside_diameter_mm": _millimetres(size.outside_diameter),
        "wall_mm": _millimetres(size.wall),
        "least_percent_nominal": percent(item.least),
        "least_percent_p05": percent(item.least_low),
        "flow_kg_per_h": finite(to.kg_per_h(item.flow)),
        "required_kg_per_h": finite(to.kg_per_h(item.required)),
        "head_left_at_required_mm": finite(to.millimetres(item.head_left)),
        "meets_on_nominal_values": item.meets_nominal,
        "meets_at_5th_percentile": item.meets_low,
        "verdict": item.verdict_words,
        "deciding": None if item.deciding is None else scenario_object(item.deciding, burn),
        "air_clearing_flow_l_per_h": finite(to.l_per_h(item.clearing_flow)),
        "fuel_held_l": finite(to.litres(item.fuel_held)),
        "tube_mass_kg": finite(item.mass),
        "fittings_that_follow": [told(fitting.words) for fitting in item.followed],
        "fittings_that_stay": [told(fitting.words) for fitting in item.stayed],
        "remarks": list(all_told(item.remarks)),
        "reasons": list(all_told(item.reasons)),
        "decisions": [_decision_object(decision) for decision in item.decisions],
        "problem": item.problem or None,
    }


def _millimetres(length: float | None) -> float | None:
    return None if length is None else finite(to.millimetres(length))


_EDGE_UNITS = {
    "m": ("mm", to.millimetres),
    "rad": ("deg", to.degrees),
    "m3": ("l", to.litres),
    "": ("factor", float),
}


def edge_object(pair: EdgePair) -> Json:
    """Give one question with its answer on nominal values and at the 5th percentile."""
    name, shown = _EDGE_UNITS[pair.nominal.unit]

    def value(edge: Edge | None) -> JsonValue:
        return None if edge is None else finite(shown(edge.value))

    def where(edge: Edge | None) -> JsonValue:
        if edge is None or math.isfinite(edge.value):
            return None
        return "everywhere in the range" if edge.always else "nowhere in the range"

    return {
        "question": told(pair.nominal.question),
        f"present_{name}": finite(shown(pair.nominal.present)),
        f"edge_nominal_{name}": value(pair.nominal),
        f"edge_p05_{name}": value(pair.band),
        f"range_{name}": [finite(shown(pair.nominal.low)), finite(shown(pair.nominal.high))],
        "met_nominal": where(pair.nominal),
        "met_p05": where(pair.band),
    }


def _judged_on(draws: int, seed: int) -> Json:
    return {"draws": draws, "seed": None if draws == 0 else seed, "band": draws > 0}


def uncertainty_object(result: UncertaintyResult, file: str, sha256: str) -> Json:
    """Give the answer of the uncertainty study; see ``size_object`` for the arguments."""
    return {
        "schema": UNCERTAINTY_SCHEMA,
        "case": case_object(result.title, file, sha256),
        "requirement": requirement_object(result.requirement),
        "verdict": result.verdict_words,
        "reasons": list(all_told(result.reasons)),
        "decisions": [_decision_object(decision) for decision in result.decisions],
        "judged_on": _judged_on(result.draws, result.seed),
        "scenarios_drawn": result.scenarios,
        "failed_draws": result.failed,
        "least_of_all": _spread_object(result.together, None),
        "result_lines": [
            {
                "name": told(item.line.name),
                "verdict": item.line.verdict.value,
                **_spread_object(item.spread, item.required),
            }
            for item in result.lines
        ],
        "convergence": [_spread_object(item, None) for item in result.convergence],
        "measure_first": told(result.measure_first) or None,
        "as_good_to_measure": list(all_told(result.as_good)),
        "inputs": [_input_object(result, index) for index in range(len(result.names))],
        "assumptions": list(all_told(result.assumptions)),
        "cautions": list(all_cautions(result.cautions)),
        "versions": versions(),
    }


def _decision_object(decision: Decision) -> Json:
    """Give one thing that decides; this answer holds no scenarios that it could point to."""
    found = decision_object(decision)
    del found["scenario_index"]
    return found


def _spread_object(spread: Spread, required: float | None) -> Json:
    """Give a spread; with the required flow [kg/s] the flows too."""
    found: Json = {"draws": spread.draws}
    for name in ("low", "middle", "high"):
        key = {"low": "p05", "middle": "p50", "high": "p95"}[name]
        ratio, error = getattr(spread, name), getattr(spread, f"{name}_error")
        found[f"percent_of_required_{key}"] = percent(ratio)
        found[f"percent_of_required_{key}_standard_error"] = percent(error)
        if required is not None:
            found[f"flow_{key}_kg_per_h"] = finite(to.kg_per_h(ratio * required))
    found["band_worked_out_to_percent"] = band_end(spread.low, spread.high)
    found["chance"] = finite(spread.chance)
    found["chance_standard_error"] = finite(spread.chance_error)
    return found


def _input_object(result: UncertaintyResult, index: int) -> Json:
    shares = {item.name: item for item in result.shares}
    share = shares.get(result.names[index])
    indices, moved = result.indices, result.moved
    found: Json = {
        "name": told(result.names[index]),
        "measurement": told(result.measurements[index]),
        "variance_share": None if share is None else finite(share.share),
        "variance_share_standard_error": None if share is None else finite(share.error),
        "percent_of_required_at_5th_percentile": percent(float(moved.low[index])),
        "percent_of_required_at_95th_percentile": percent(float(moved.high[index])),
    }
    for name in ("first", "first_low", "first_high", "total", "total_low", "total_high"):
        value = None if indices is None else float(getattr(indices, name)[index])
        found[f"index_{name}"] = finite(value)
    return found


def what_if_object(system: FuelSystem, result: WhatIfResult, file: str, sha256: str) -> Json:
    """Give the what-if matrix; see ``size_object`` for the arguments."""
    return {
        "schema": WHAT_IF_SCHEMA,
        "case": case_object(result.title, file, sha256),
        "judged_on": _judged_on(result.draws, result.seed),
        "result_lines": list(all_told(result.columns)),
        "rows": [_row_object(row, system.engine.burn) for row in result.rows],
        "assumptions": list(all_told(result.assumptions)),
        "cautions": list(all_cautions(result.cautions)),
        "versions": versions(),
    }


def _row_object(row: WhatIfRow, burn: float) -> Json:
    return {
        "what_if": row.word,
        "words": told(row.words),
        "verdict": row.verdict_words or None,
        "cells": [
            {
                "result_line": told(cell.line),
                "verdict": cell.verdict.value,
                "least_percent_nominal": percent(cell.least),
                "least_percent_p05": percent(cell.least_low),
                "band_worked_out_to_percent": band_end(cell.least_low),
            }
            for cell in row.cells
        ],
        "deciding": None if row.deciding is None else scenario_object(row.deciding, burn),
        "reasons": list(all_told(row.reasons)),
        "note": told(row.note) or None,
    }


def compare_object(
    result: ComparisonResult,
    differences: tuple[Difference, ...],
    files: tuple[tuple[str, str], tuple[str, str]],
) -> Json:
    """Give the comparison; ``files`` are name and digest of both case files."""
    first, second = result.first, result.second
    return {
        "schema": COMPARE_SCHEMA,
        "first": _side(first, files[0]),
        "second": _side(second, files[1]),
        "verdict_changes": result.verdict_changes,
        "same_deciding_scenario": result.same_scenario,
        "case_differences": [
            {"place": item.place, "first": item.first, "second": item.second}
            for item in differences
        ],
        "result_lines": [
            {"name": told(item.name), "first": _line(item.first), "second": _line(item.second)}
            for item in result.lines
        ],
        "losses": [
            {
                "part": told(item.part),
                "first_mm": finite(to.millimetres(item.first)),
                "second_mm": finite(to.millimetres(item.second)),
                "change_mm": finite(to.millimetres(item.change)),
            }
            for item in result.losses
        ],
        "cautions": list(all_cautions((*first.cautions, *second.cautions))),
        "versions": versions(),
    }


def _side(result: AdequacyResult, file: tuple[str, str]) -> Json:
    return {
        "case": case_object(result.title, *file),
        "verdict": result.verdict_words,
        "reasons": list(all_told(result.reasons)),
        "requirement": requirement_object(result.requirement),
        "deciding": scenario_object(result.deciding_scenario, result.requirement.burn),
        "judged_on": _judged_on(result.draws, result.seed),
    }


def _line(line: ResultLine | None) -> JsonValue:
    if line is None:
        return None
    return {
        "verdict": line.verdict.value,
        "required_kg_per_h": finite(to.kg_per_h(line.required)),
        "least_percent_nominal": percent(line.least_nominal),
        "least_percent_p05": percent(line.least_low),
        "least_percent_p95": percent(line.least_high),
        "band_worked_out_to_percent": band_end(line.least_low, line.least_high),
        "chance": finite(line.chance),
    }

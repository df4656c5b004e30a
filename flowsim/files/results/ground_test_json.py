"""Ground-test results as JSON; a unit in each key, null where a number does not exist.

``flowsim.ground-test-plan/1``, ``flowsim.ground-test-fit/1`` and ``flowsim.leak-check/1``.
"""

import math

from flowsim.document.words.telling import all_told, told
from flowsim.files.results.check_json import all_cautions, band_end, scenario_object, versions
from flowsim.files.results.json_text import Json, JsonValue
from flowsim.files.units import shown as to
from flowsim.physics.air.leak_check import LeakResult
from flowsim.studies.ground_test.drain_down import DrainDown
from flowsim.studies.ground_test.result import (
    GroundTestFit,
    GroundTestPlan,
    LearnedGroup,
    LearnedInput,
    PlannedDrain,
    PlannedRun,
    RunResult,
    VentTest,
)
from flowsim.studies.ground_test.runs import Setting
from flowsim.studies.result import AdequacyResult, ResultLine
from flowsim.system.fuel_system import FuelSystem

PLAN_SCHEMA = "flowsim.ground-test-plan/1"
FIT_SCHEMA = "flowsim.ground-test-fit/1"
LEAK_SCHEMA = "flowsim.leak-check/1"


def plan_object(system: FuelSystem, plan: GroundTestPlan, case_file: str, sha256: str) -> Json:
    """Give a plan as plain dictionaries and lists, ready for JSON."""
    return {
        "schema": PLAN_SCHEMA,
        "case": {"title": plan.title, "file": case_file, "sha256": sha256},
        "requirement": {
            "burn_kg_per_h": _n(to.kg_per_h(plan.burn)),
            "factor": _n(plan.factor),
            "required_kg_per_h": _n(to.kg_per_h(plan.required)),
        },
        "container_l": _n(to.litres(plan.container)),
        "repeats": plan.repeats,
        "attitude": {
            "level_pitch_deg": _n(to.degrees(plan.level_pitch)),
            "climb_pitch_deg": _n(to.degrees(plan.climb_pitch)),
            "test_pitch_deg": _n(to.degrees(plan.test_pitch)),
        },
        "pass_seconds": [
            {
                "fuel_temperature_c": _n(to.celsius(kelvin)),
                "density_kg_per_m3": _n(density),
                "seconds": _n(plan.container * density / plan.required),
            }
            for kelvin, density in plan.densities
        ],
        "runs": [_planned_object(system, run) for run in plan.runs],
        "drain_down": None if plan.drain is None else _planned_drain(system, plan.drain),
        "vent_tests": [_vent_object(test) for test in plan.vents],
        "drain_out_l": {tank: _n(to.litres(volume)) for tank, volume in plan.drain_out},
        "leak_check": {
            "largest_head_mm": _n(to.millimetres(plan.leak_head)),
            "pressure_kpa": _n(to.kilopascals(plan.leak_pressure)),
        },
        "joined_in_every_position": [list(pair) for pair in plan.never_parted],
        "deciding": scenario_object(plan.deciding, plan.burn),
        "unseen": [{"input": told(name), "settled_by": told(how)} for name, how in plan.unseen],
        "result_lines": [_line_object(line) for line in plan.lines],
        "assumptions": list(all_told(plan.assumptions)),
        "cautions": list(all_cautions(plan.cautions)),
        "versions": versions(),
    }


def fit_object(
    system: FuelSystem,
    fitted: GroundTestFit,
    case_file: str,
    sha256: str,
    readings: tuple[str, str],
    written: str | None,
) -> Json:
    """Give a fit as plain dictionaries and lists, ready for JSON.

    Parameters
    ----------
    system : FuelSystem
        As it was before the test.
    fitted : GroundTestFit
    case_file, sha256 : str
        Name and digest of the case.
    readings : tuple of str
        Name and digest of the readings.
    written : str or None
        Name of the calibrated case, None where none was written.

    Returns
    -------
    dict
    """
    least = fitted.runs[fitted.least]
    return {
        "schema": FIT_SCHEMA,
        "case": {"title": fitted.title, "file": case_file, "sha256": sha256},
        "readings": {"file": readings[0], "sha256": readings[1]},
        "calibrated_case": written,
        "correction_distrusted": told(fitted.distrust) or None,
        "required_kg_per_h": _n(to.kg_per_h(fitted.required)),
        "mark": {
            "met": fitted.passed,
            "words": told(fitted.pass_words),
            "least_run": least.reading.name,
            "least_percent_of_required": _n(to.percent(least.ratio)),
        },
        "runs": [_run_object(system, run) for run in fitted.runs],
        "drain_downs": [_drain_object(drain) for drain in fitted.drains],
        "findings": list(all_told(fitted.findings)),
        "inputs": [_input_object(item) for item in fitted.inputs],
        "known_together": [_group_object(group) for group in fitted.groups],
        "before": _answer_object(fitted.before),
        "after": _answer_object(fitted.after),
        "remarks": list(all_told(fitted.remarks)),
        "cautions": list(all_cautions(fitted.cautions)),
        "versions": versions(),
    }


def leak_object(
    case: Json,
    result: LeakResult | None,
    pressure: float,
    head: float,
    least_seconds: float | None,
) -> Json:
    """Give a leak check as plain dictionaries, ready for JSON.

    Parameters
    ----------
    case : dict
        What identifies the case.
    result : LeakResult or None
        None where no readings were given.
    pressure, head : float
        To hold [Pa], and the head behind it [m].
    least_seconds : float or None
        [s] Least time for the gauge; None where the gauge is not known.
    """
    found: Json = {
        "schema": LEAK_SCHEMA,
        "case": case,
        "largest_head_mm": _n(to.millimetres(head)),
        "pressure_to_hold_kpa": _n(to.kilopascals(pressure)),
        "least_time_s": None if least_seconds is None else _n(least_seconds),
        "reading": None,
        "cautions": list(all_cautions(())),
        "versions": versions(),
    }
    if result is not None:
        found["reading"] = {
            "drop_kpa": _n(to.kilopascals(result.drop)),
            "by_temperature_kpa": _n(to.kilopascals(result.by_temperature)),
            "by_ambient_kpa": _n(to.kilopascals(result.by_ambient)),
            "left_for_leak_kpa": _n(to.kilopascals(result.by_leak)),
            "one_deviation_kpa": _n(to.kilopascals(result.uncertainty)),
            "leak_ml_per_min_of_air": _n(result.leak * 6e7),
        }
    return found


def _setting_object(system: FuelSystem, setting: Setting) -> Json:
    pairs = zip(system.tanks, setting.quantities, strict=True)
    return {
        "selector": setting.position,
        "pitch_deg": _n(to.degrees(setting.pitch)),
        "roll_deg": _n(to.degrees(setting.roll)),
        "line_end_above_inlet_mm": _n(to.millimetres(setting.end_height)),
        "fuel_l": {tank.name: _n(to.litres(volume)) for tank, volume in pairs},
        "volume_l": _n(to.litres(setting.volume)),
        "fuel_temperature_c": _n(to.celsius(setting.temperature)),
    }


def _planned_object(system: FuelSystem, run: PlannedRun) -> Json:
    return {
        "name": told(run.name),
        "needed": run.needed,
        **_setting_object(system, run.setting),
        "expected_s": _n(run.expected),
        "expected_p05_s": _n(run.low),
        "expected_p95_s": _n(run.high),
        "mark_s": _n(run.mark),
        "misses_the_mark": "expected" if run.misses else "may" if run.may_miss else "no",
        "share_of_variance_alone": _n(run.alone),
        "share_of_variance_after_those_above": _n(run.gain),
        "share_of_variance_left": _n(run.left),
        "reason": told(run.reason),
    }


def _planned_drain(system: FuelSystem, drain: PlannedDrain) -> Json:
    marks = zip(drain.drawn, drain.expected, drain.low, drain.high, strict=True)
    return {
        **_setting_object(system, drain.setting),
        "marks": [
            {
                "drawn_l": _n(to.litres(drawn)),
                "expected_s": _n(expected),
                "expected_p05_s": _n(low),
                "expected_p95_s": _n(high),
            }
            for drawn, expected, low, high in marks
        ],
        "share_of_variance": _n(drain.share),
        "bucket_runs": drain.buckets,
        "share_of_variance_of_bucket_runs": _n(drain.bucket_share),
        "stands_for_bucket_runs": drain.enough,
    }


def _vent_object(test: VentTest) -> Json:
    return {
        "tank": test.tank,
        "selector": test.selector or None,
        "full": test.full,
        "ullage_l": _n(to.litres(test.ullage)),
        "head_mm": _n(to.millimetres(test.head)),
        "vapour_pressure_kpa": _n(to.kilopascals(test.vapour_pressure)),
        "stops_after_l": _n(to.litres(test.stops_after)),
        "draw_l": _n(to.litres(test.draw)),
    }


def _run_object(system: FuelSystem, run: RunResult) -> Json:
    reading = run.reading
    return {
        "run": reading.name,
        "drain_down": reading.drain or None,
        "drawn_before_l": _n(to.litres(reading.setting.drawn_before)),
        "line": reading.line,
        **_setting_object(system, reading.setting),
        "seconds": _n(reading.seconds),
        "density_kg_per_m3": _n(reading.density),
        "density_measured": reading.density_measured,
        "remarks": reading.remarks,
        "flow_kg_per_h": _n(to.kg_per_h(run.flow)),
        "flow_one_deviation_kg_per_h": _n(to.kg_per_h(run.flow_error)),
        "percent_of_required": _n(to.percent(run.ratio)),
        "expected_s": _n(run.expected),
        "expected_p05_s": _n(run.low),
        "expected_p95_s": _n(run.high),
        "expected_law_s": _n(run.law),
        "inside_band": run.inside,
        "after_fit_s": _n(run.after),
        "misfit_deviations": None if run.misfit is None else _n(run.misfit),
        "suggests": list(all_told(run.suggests)),
    }


def _drain_object(drain: DrainDown) -> Json:
    return {
        "run": told(drain.name),
        "curve": [
            {
                "drawn_l": _n(to.litres(stretch.drawn)),
                "head_mm": _n(to.millimetres(stretch.head)),
                "flow_kg_per_h": _n(to.kg_per_h(stretch.flow)),
                "flow_one_deviation_kg_per_h": _n(to.kg_per_h(stretch.flow_error)),
                "expected_kg_per_h": _n(to.kg_per_h(stretch.expected)),
                "after_fit_kg_per_h": _n(to.kg_per_h(stretch.after)),
            }
            for stretch in drain.stretches
        ],
        "vents": [
            {
                "tanks": list(all_told(vent.tanks)),
                "suction_at_end_mm": _n(to.millimetres(vent.suction)),
                "one_deviation_mm": _n(to.millimetres(vent.deviation)),
                "shut_would_stop_after_l": _n(to.litres(vent.stops_after)),
                "bends": vent.bends,
                "words": told(vent.words),
            }
            for vent in drain.vents
        ],
    }


def _input_object(item: LearnedInput) -> Json:
    scale, unit = (1000.0, "mm") if item.unit == "m" else (1.0, "factor")
    found: Json = {"key": item.key, "name": told(item.name), "unit": unit}
    for when, values in (("before", item.before), ("after", item.after)):
        for share, value in zip(("p05", "p50", "p95"), values, strict=True):
            found[f"{when}_{share}"] = _n(scale * value)
    found["share_of_variance_learned"] = _n(item.learned)
    return found


def _group_object(group: LearnedGroup) -> Json:
    members: list[JsonValue] = [
        {"input": told(name), "weight": _n(weight)} for name, weight in group.members
    ]
    return {"share_of_variance_learned": _n(group.learned), "members": members}


def _answer_object(result: AdequacyResult) -> Json:
    return {
        "verdict": result.verdict_words,
        "deciding": scenario_object(result.deciding_scenario, result.requirement.burn),
        "result_lines": [_line_object(line) for line in result.lines],
    }


def _line_object(line: ResultLine) -> Json:
    def percent(ratio: float | None) -> float | None:
        return None if ratio is None else _n(to.percent(ratio))

    return {
        "name": told(line.name),
        "end": line.end,
        "required_kg_per_h": _n(to.kg_per_h(line.required)),
        "least_percent_nominal": percent(line.least_nominal),
        "least_percent_p05": percent(line.least_low),
        "least_percent_p50": percent(line.least_median),
        "least_percent_p95": percent(line.least_high),
        "band_worked_out_to_percent": band_end(line.least_low, line.least_high),
        "chance_percent": percent(line.chance),
        "verdict": line.verdict.value,
    }


def _n(value: float) -> float | None:
    """Give a number for JSON: null where there is none."""
    return float(value) if math.isfinite(value) else None

"""The answer as one JSON object, ``flowsim.check/1``: stable, documented, a unit in each key.

``docs/schemas/check.schema.json`` describes it. Numbers that do not exist are null, never NaN.
Later releases may add keys; none is renamed or taken away without a new number behind the slash.
"""

import math
import platform
from importlib import metadata

import flowsim
from flowsim.constants import STANDARD_GRAVITY
from flowsim.document.words.standing import ALWAYS
from flowsim.document.words.telling import all_told, once_told, told
from flowsim.errors import DomainError
from flowsim.files.results.json_text import Json, JsonValue, json_text
from flowsim.files.units import shown as to
from flowsim.measures import FAR_ENOUGH
from flowsim.studies.result import (
    AdequacyResult,
    Contribution,
    Decision,
    LossPath,
    LossRow,
    Requirement,
    ResultLine,
    ScenarioResult,
    Unmeasured,
    UnmeasuredCounts,
)
from flowsim.studies.saying import Said
from flowsim.system.fuel_system import FuelSystem

SCHEMA = "flowsim.check/1"


def check_json(system: FuelSystem, result: AdequacyResult, case_file: str, sha256: str) -> str:
    """Give the answer as JSON text.

    Parameters
    ----------
    system : FuelSystem
        The system that was judged.
    result : AdequacyResult
        The answer.
    case_file : str
        The case file's name as it was given.
    sha256 : str
        Digest of the case file's bytes, hexadecimal.

    Returns
    -------
    str
        One object in ASCII, keys in a fixed order, ending with a line break.

    Raises
    ------
    DomainError
        When the deciding scenario is not among the scenarios.
    """
    return json_text(check_object(system, result, case_file, sha256))


def check_object(system: FuelSystem, result: AdequacyResult, case_file: str, sha256: str) -> Json:
    """Give the answer as plain dictionaries and lists, ready for JSON.

    Parameters
    ----------
    system : FuelSystem
        The system that was judged.
    result : AdequacyResult
        The answer.
    case_file : str
        The case file's name as it was given.
    sha256 : str
        Digest of the case file's bytes, hexadecimal.

    Returns
    -------
    dict
        The object that ``docs/schemas/check.schema.json`` describes.

    Raises
    ------
    DomainError
        When the deciding scenario is not among the scenarios.
    """
    if not 0 <= result.deciding < len(result.scenarios):
        raise DomainError(f"deciding scenario {result.deciding} is not among the scenarios")
    return {
        "schema": SCHEMA,
        "case": {"title": result.title, "file": case_file, "sha256": sha256},
        "requirement": requirement_object(result.requirement),
        "verdict": result.verdict_words,
        "reasons": list(all_told(result.reasons)),
        "settled_by": told(result.settle),
        "judged_on": {
            "draws": result.draws,
            "seed": None if result.draws == 0 else result.seed,
            "band": result.draws > 0,
        },
        "attitude": {
            "level_pitch_deg": _finite(to.degrees(result.level_pitch)),
            "climb_pitch_deg": _finite(to.degrees(result.climb_pitch)),
            "test_pitch_deg": _finite(to.degrees(result.test_pitch)),
            "climb_pitch_working": system.flight.pitch_working,
            **_flown(system),
        },
        "fuel": {
            "name": system.fuel.name,
            "density_15c_kg_per_m3": _finite(system.fuel.density_15),
            "source": system.fuel.source,
        },
        "hot_fuel": {
            "boils_from_c": None
            if result.boils_from is None
            else _finite(to.celsius(result.boils_from)),
            "heat_pickup_k": _finite(system.engine.heat_pickup),
        },
        "result_lines": [_line_object(line) for line in result.lines],
        "decisions": [decision_object(decision) for decision in result.decisions],
        "deciding": scenario_object(result.deciding_scenario, result.requirement.burn),
        "costliest": list(all_told(result.costliest)),
        "scenarios": [
            scenario_object(scenario, result.requirement.burn) for scenario in result.scenarios
        ],
        "losses": [path_object(path) for path in result.losses],
        "contributions": [_contribution_object(item) for item in result.contributions],
        "assumptions": list(all_told(result.assumptions)),
        "unmeasured": [_unmeasured_object(item) for item in result.unmeasured],
        "not_measured": _not_measured_object(result.not_measured),
        "cautions": list(all_cautions(result.cautions)),
        "versions": versions(),
    }


def _flown(system: FuelSystem) -> Json:
    """Give how fast the attitudes are flown, and how the aeroplane stands and starts."""
    flight, ground = system.flight, system.routing.ground
    return {
        "ground_pitch_deg": None if ground is None else _finite(to.degrees(ground.pitch)),
        "climb_speed_kt": _finite(to.knots(flight.climb_speed)),
        "level_speed_kt": _finite(to.knots(flight.top_speed)),
        "takeoff_acceleration_g0": _finite(flight.run_acceleration / STANDARD_GRAVITY),
    }


def all_cautions(cautions: tuple[Said, ...]) -> tuple[str, ...]:
    """Put the standing cautions before those of the case; each stands once."""
    return once_told((*ALWAYS, *cautions))


def versions() -> dict[str, JsonValue]:
    """Give the versions that made a result: flowsim, Python, and what computes."""
    found: Json = {"flowsim": flowsim.__version__, "python": platform.python_version()}
    for name in ("numpy", "scipy"):
        try:
            found[name] = metadata.version(name)
        except metadata.PackageNotFoundError:
            found[name] = None
    return found


def requirement_object(requirement: Requirement) -> Json:
    """Give the required flow; volumes are at the fuel's 15 degC density."""
    volume = requirement.required / requirement.density
    return {
        "burn_kg_per_h": _finite(to.kg_per_h(requirement.burn)),
        "factor": _finite(requirement.factor),
        "required_kg_per_h": _finite(to.kg_per_h(requirement.required)),
        "required_lb_per_h": _finite(to.lb_per_h(requirement.required)),
        "required_l_per_h": _finite(to.l_per_h(volume)),
        "required_us_gal_per_h": _finite(to.us_gal_per_h(volume)),
        "density_kg_per_m3": _finite(requirement.density),
        "basis": requirement.basis,
    }


def scenario_object(scenario: ScenarioResult, burn: float) -> Json:
    """Give one scenario; ``burn`` [kg/s] is at full power.

    The tanks' air pressures are absolute, the pressure at the inlet is above ambient.
    """
    return {
        "index": scenario.index,
        "selector": scenario.selector,
        "pitch_deg": _finite(to.degrees(scenario.pitch)),
        "roll_deg": _finite(to.degrees(scenario.roll)),
        "forward_acceleration_g0": _finite(scenario.forward_acceleration / STANDARD_GRAVITY),
        "airspeed_kt": _finite(to.knots(scenario.airspeed)),
        "altitude_m": _finite(scenario.altitude),
        "fuel_state": scenario.fuel_state,
        "fuel_l": {name: _finite(to.litres(value)) for name, value in scenario.quantities},
        "fuel_temperature_c": _finite(to.celsius(scenario.temperature)),
        "tank_air_pressure_kpa": {
            name: _finite(to.kilopascals(value)) for name, value in scenario.tank_air_pressure
        },
        "end": scenario.end,
        "screens": told(scenario.screens),
        "purpose": scenario.purpose,
        "judged": scenario.judged,
        "required_kg_per_h": _finite(to.kg_per_h(scenario.required)),
        "flow_kg_per_h": _finite(to.kg_per_h(scenario.flow)),
        "flow_p05_kg_per_h": _optional_flow(scenario.flow_low),
        "flow_p95_kg_per_h": _optional_flow(scenario.flow_high),
        "flow_l_per_h": _finite(to.l_per_h(scenario.volume_flow)),
        "flow_us_gal_per_h": _finite(to.us_gal_per_h(scenario.volume_flow)),
        "solved_flow_kg_per_h": _finite(to.kg_per_h(scenario.solved_flow)),
        "percent_of_burn": _ratio(scenario.flow, burn),
        "percent_of_required": _ratio(scenario.flow, scenario.required),
        "inlet_pressure_at_required_kpa": _finite(
            to.kilopascals(scenario.inlet_pressure_at_required)
        ),
        "head_left_at_required_mm": _finite(to.millimetres(scenario.head_left)),
        "uncovered": list(scenario.uncovered),
        "air_drawn": air_at_required(scenario),
        "flow_limited_by_air": scenario.air_drawn,
        "air_margin_mm": _finite(to.millimetres(scenario.air_margin)),
        "humps_not_clear": list(all_told(scenario.humps)),
        "trapped_air_head_mm": _finite(to.millimetres(scenario.trapped_air_head)),
        "flow_with_trapped_air_kg_per_h": _finite(to.kg_per_h(scenario.flow_trapped)),
        "flow_back_into": list(scenario.backflow),
        "vapour_margin_kpa": _finite(to.kilopascals(scenario.vapour_margin)),
        "pressure_above_tank_air_kpa": _finite(to.kilopascals(scenario.lowest_pressure_margin)),
        "converged": scenario.converged,
        "residual_m": _finite(scenario.residual),
        "flags": list(all_told(scenario.flags)),
        "verdict": scenario.verdict.value,
    }


def air_at_required(scenario: ScenarioResult) -> bool:
    """Tell whether air is drawn at the required flow, not only at some greater flow."""
    return scenario.air_drawn and (
        scenario.air_margin < 0.0 or not scenario.flow >= scenario.required
    )


def path_object(path: LossPath) -> Json:
    """Give the losses along one path from a tank to the end."""
    return {
        "tank": path.tank,
        "outlet": path.outlet,
        "end": path.end,
        "surface_elevation_mm": _finite(to.millimetres(path.surface_elevation)),
        "end_elevation_mm": _finite(to.millimetres(path.end_elevation)),
        "tank_pressure_head_mm": _finite(to.millimetres(path.tank_pressure_head)),
        "end_pressure_head_mm": _finite(to.millimetres(path.end_pressure_head)),
        "head_available_mm": _finite(to.millimetres(path.available)),
        "closure_mm": _finite(to.millimetres(path.closure)),
        "parts": [_row_object(row) for row in path.rows],
    }


def _row_object(row: LossRow) -> Json:
    return {
        "part": told(row.part),
        "line": row.line,
        "flow_l_per_h": _finite(to.l_per_h(row.flow)),
        "bore_mm": _finite(to.millimetres(row.bore)),
        "velocity_m_per_s": _finite(row.velocity),
        "reynolds": _finite(row.reynolds),
        "law": row.law,
        "coefficient": _finite(row.coefficient),
        "loss_mm": _finite(to.millimetres(row.loss)),
        "share": _finite(row.share),
        "source": row.source,
    }


def _line_object(line: ResultLine) -> Json:
    return {
        "name": told(line.name),
        "end": line.end,
        "required_kg_per_h": _finite(to.kg_per_h(line.required)),
        "least_percent_nominal": _percent(line.least_nominal),
        "least_percent_p05": _percent(line.least_low),
        "least_percent_p50": _percent(line.least_median),
        "least_percent_p95": _percent(line.least_high),
        "band_worked_out_to_percent": band_end(line.least_low, line.least_high),
        "chance": _finite(line.chance),
        "deciding_index": line.deciding,
        "verdict": line.verdict.value,
        "reasons": list(all_told(line.reasons)),
    }


def band_end(*ratios: float | None) -> float | None:
    """Give how far a band was worked out [%]; None: to its end, or not at all.

    Ratios of it that are infinite, and so no numbers here, are greater.
    """
    return 100.0 * FAR_ENOUGH if any(ratio == math.inf for ratio in ratios) else None


def decision_object(decision: Decision) -> Json:
    """Give one thing that decides the verdict beside the flows."""
    return {
        "topic": decision.topic.value,
        "name": told(decision.name),
        "verdict": decision.verdict.value,
        "found": told(decision.found),
        "remedy": told(decision.remedy),
        "scenario_index": decision.scenario,
        "decides": not decision.informs,
        "open_line_only": decision.open_line_only,
    }


def _unmeasured_object(item: Unmeasured) -> Json:
    return {
        "part": item.part,
        "line": item.line,
        "tag": item.tag.value,
        "share": _finite(item.share),
        "loss_mm": None if item.loss is None else _finite(to.millimetres(item.loss)),
        "measure": told(item.measure),
        "source": told(item.source),
    }


def _not_measured_object(found: UnmeasuredCounts) -> Json:
    return {
        "assumed": found.assumed,
        "by_default": found.default,
        "catalogue_losses": found.catalogue,
        "catalogue_share": _finite(found.catalogue_share),
        "source_not_said": found.not_said,
    }


def _contribution_object(item: Contribution) -> Json:
    return {
        "name": told(item.name),
        "measurement": told(item.measurement),
        "rank_correlation": _finite(item.rank_correlation),
    }


def _finite(value: float | None) -> float | None:
    """Give a plain float, or None for what is no number."""
    if value is None or not math.isfinite(value):
        return None
    return float(value)


def _optional_flow(value: float | None) -> float | None:
    return None if value is None else _finite(to.kg_per_h(value))


def _percent(ratio: float | None) -> float | None:
    return None if ratio is None else _finite(to.percent(ratio))


def _ratio(part: float, whole: float) -> float | None:
    """Give part of whole in percent, None where either is no number or the whole is zero."""
    if not (math.isfinite(part) and math.isfinite(whole)) or whole == 0.0:
        return None
    return to.percent(part / whole)

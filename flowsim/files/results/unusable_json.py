"""The answer of ``flowsim unusable`` as one JSON object, ``flowsim.unusable/1``.

Numbers that do not exist are null; a limit that not even a full tank meets is null too, and
``holds_with_full_tank`` is then false.
"""

import math
from collections.abc import Sequence

from flowsim.document.words.telling import all_told, told
from flowsim.files.results.check_json import versions
from flowsim.files.results.json_text import Json, JsonValue, json_text
from flowsim.files.units import shown as to
from flowsim.physics.air.dips import DIP_CAUTIOUS, DIP_EXPECTED
from flowsim.studies.changes.blocked_vent import BlockedVentRow
from flowsim.studies.judged.flight_attitudes import LEVEL
from flowsim.studies.review.carburettor_words import verdict_words
from flowsim.studies.saying import Said
from flowsim.studies.unusable.header_tank import HeaderRow
from flowsim.studies.unusable.result import DipBands, GroupBands, QuantityBand, TankBands
from flowsim.studies.unusable.study import AttitudeLimits, Extreme, TankUnusable, UnusableResult
from flowsim.system.engine import Engine
from flowsim.system.fuel_system import FuelSystem

SCHEMA = "flowsim.unusable/1"


def unusable_json(
    system: FuelSystem,
    result: UnusableResult,
    headers: Sequence[HeaderRow],
    blocked: Sequence[BlockedVentRow],
    words: tuple[Sequence[Said], Sequence[Said]],
    case_file: str,
    sha256: str,
) -> str:
    """Give the answer as JSON text.

    Parameters
    ----------
    system : FuelSystem
        The system.
    result : UnusableResult
        The unusable fuel.
    headers : sequence of HeaderRow
        Refill of header tanks; empty where there is none.
    blocked : sequence of BlockedVentRow
        Blocked vents; empty where not asked for.
    words : tuple of two sequences of str
        Assumptions and cautions.
    case_file, sha256 : str
        Name of the case file as given, and the digest of its bytes.

    Returns
    -------
    str
        One object in ASCII, keys in a fixed order, ending with a line break.
    """
    return json_text(
        {
            "schema": SCHEMA,
            "case": {"title": result.title, "file": case_file, "sha256": sha256},
            "burn_kg_per_h": number(to.kg_per_h(result.burn)),
            "required_kg_per_h": number(to.kg_per_h(result.required)),
            "pitch_from_deg": number(to.degrees(result.pitch_low)),
            "pitch_to_deg": number(to.degrees(result.pitch_high)),
            "dip_times_expected": DIP_EXPECTED,
            "dip_times_cautious": DIP_CAUTIOUS,
            "verdict": verdict_words(result.verdict, system.engine),
            "reasons": list(all_told(result.reasons)),
            "failed_solves": result.failed,
            "draws": result.draws,
            "tanks": [_tank(tank, system.engine) for tank in result.tanks],
            "attitudes": [_attitude(row) for row in result.attitudes],
            "by_kind_of_attitude": [_group(group) for group in result.groups],
            "header_tanks": [_header(row) for row in headers],
            "blocked_vents": [_blocked(row) for row in blocked],
            "assumptions": list(all_told(words[0])),
            "cautions": list(all_told(words[1])),
            "versions": versions(),
        }
    )


def number(value: float | None) -> float | None:
    """Give a plain float, or None for what is no finite number."""
    return None if value is None or not math.isfinite(value) else float(value)


def _tank(tank: TankUnusable, engine: Engine) -> Json:
    return {
        "tank": tank.name,
        "capacity_l": number(to.litres(tank.capacity)),
        "declared_unusable_l": number(to.litres(tank.declared)),
        "stated_least_takeoff_l": number(to.litres(tank.least_takeoff)),
        "test_draw_l": number(to.litres(tank.test_draw)),
        "burn_lost": _extreme(tank.burn),
        "required_lost": _extreme(tank.required),
        "flow_stops": _extreme(tank.stops),
        "burn_lost_in_slip": _extreme(tank.slip),
        "air_may_be_drawn_at_burn": _extreme(tank.doubt_burn),
        "air_may_be_drawn_at_required": _extreme(tank.doubt_required),
        "least_takeoff": _extreme(tank.takeoff),
        "burn_lost_cautious": _extreme(tank.cautious.burn),
        "required_lost_cautious": _extreme(tank.cautious.required),
        "least_takeoff_cautious": _extreme(tank.cautious.takeoff),
        "burn_lost_in_flown_slip": _extreme(tank.flown_slip),
        "burn_lost_in_flown_slip_cautious": _extreme(tank.cautious.flown_slip),
        "bands": _bands(tank.bands),
        "line_too_small": tank.line_too_small,
        "unusable_placard_l": number(to.litres(tank.unusable_placard)),
        "takeoff_placard_l": number(to.litres(tank.takeoff_placard)),
        "verdict": verdict_words(tank.verdict, engine),
        "reasons": list(all_told(tank.reasons)),
    }


def _bands(bands: TankBands | None) -> JsonValue:
    if bands is None:
        return None
    return {
        "expected": _dip_bands(bands.expected),
        "cautious": _dip_bands(bands.cautious),
    }


def _dip_bands(bands: DipBands) -> Json:
    return {
        "burn_lost": _band(bands.burn),
        "required_lost": _band(bands.required),
        "least_takeoff": _band(bands.takeoff),
        "burn_lost_in_flown_slip": None if bands.flown_slip is None else _band(bands.flown_slip),
    }


def _group(group: GroupBands) -> Json:
    kind = group.kind
    if kind == LEVEL:
        kind = "nose-down" if group.down else "level and nose-up"
    return {
        "selector": group.selector,
        "judged": group.judged,
        "tanks_emptied": list(group.tanks),
        "dry_tanks": list(group.dry),
        "kind_of_attitude": kind,
        "burn_lost_cautious": _band(group.burn),
        "required_lost_cautious": _band(group.required),
    }


def _band(band: QuantityBand) -> JsonValue:
    if not band.draws:
        return None
    return {
        "p5_l": number(to.litres(band.low)),
        "p50_l": number(to.litres(band.middle)),
        "p95_l": number(to.litres(band.high)),
        "p95_holds_with_full_tank": math.isfinite(band.high),
        "declared_is_enough": number(band.enough),
        "draws": band.draws,
        "failed_draws": band.failed,
    }


def _extreme(item: Extreme | None) -> JsonValue:
    if item is None or math.isnan(item.quantity):
        return None
    return {
        "quantity_l": number(to.litres(item.quantity)),
        "holds_with_full_tank": math.isfinite(item.quantity),
        "lost_first": item.reason,
        "selector": item.selector,
        "other_tanks_emptied_alike": item.together,
        "dry_tanks": list(item.dry),
        "attitude": item.kind,
        "pitch_deg": number(to.degrees(item.pitch)),
        "bank_or_roll_deg": number(to.degrees(item.lean)),
        "fuel_temperature_c": number(to.celsius(item.temperature)),
        "end": item.end,
        "dip_times": number(item.times),
    }


def _attitude(row: AttitudeLimits) -> Json:
    return {
        "selector": row.selector,
        "judged": row.judged,
        "tanks_emptied": list(row.tanks),
        "dry_tanks": list(row.dry),
        "attitude": row.kind,
        "pitch_deg": number(to.degrees(row.pitch)),
        "bank_or_roll_deg": number(to.degrees(row.lean)),
        "flow_stops_l": number(to.litres(row.stops)),
        "burn_flow_lost_l": number(to.litres(row.burn_flow)),
        "air_drawn_at_burn_l": number(to.litres(row.burn_air)),
        "required_flow_asked": not math.isnan(row.required_flow),
        "required_flow_lost_l": number(to.litres(row.required_flow)),
        "air_drawn_at_required_l": number(to.litres(row.required_air)),
        "burn_lost_cautious_l": number(to.litres(row.burn_cautious)),
        "required_lost_cautious_l": number(to.litres(row.required_cautious)),
    }


def _header(row: HeaderRow) -> Json:
    return {
        "header": told(row.header),
        "selector": told(row.selector),
        "judged": row.judged,
        "fuel_state": told(row.fuel_state),
        "burn_kg_per_h": number(to.kg_per_h(row.burn)),
        "refill_kg_per_h": number(to.kg_per_h(row.refill)),
        "keeps_up": row.keeps_up,
        "pitch_deg": number(to.degrees(row.pitch)),
        "bank_deg": number(to.degrees(row.lean)),
        "fuel_temperature_c": number(to.celsius(row.temperature)),
        "volume_l": None if row.volume is None else number(to.litres(row.volume)),
        "time_alone_s": number(row.time_alone),
        "time_until_empty_s": number(row.time_until_empty),
        "failed": row.failed,
    }


def _blocked(row: BlockedVentRow) -> Json:
    return {
        "selector": row.selector,
        "blocked_tanks": list(row.blocked),
        "drawn_from": list(row.drawn_from),
        "fuel_state": row.fuel_state,
        "asked": row.asked,
        "asked_kg_per_h": number(to.kg_per_h(row.demand)),
        "end": row.end,
        "pitch_deg": number(to.degrees(row.pitch)),
        "fuel_temperature_c": number(to.celsius(row.temperature)),
        "ambient_kpa": number(to.kilopascals(row.ambient)),
        "vapour_pressure_kpa": number(to.kilopascals(row.vapour_pressure)),
        "ullage_l": number(to.litres(row.ullage)),
        "flow_lost": math.isfinite(row.drawn_until_lost),
        "drawn_until_lost_l": number(to.litres(row.drawn_until_lost)),
        "drawn_until_stop_l": number(to.litres(row.drawn_until_stop)),
        "pressure_fall_kpa": number(to.kilopascals(row.pressure_fall)),
        "time_until_lost_s": number(row.time_until_lost),
        "test_draw_needed_l": number(to.litres(row.test_draw_needed)),
        "fuel_runs_out_first": row.runs_out_first,
        "shown_by_test": row.shown_by_test,
        "failed": row.failed,
    }

"""The answers of ``flowsim flight`` as JSON: ``flowsim.flight/1`` and ``flowsim.transfer/1``."""

from collections.abc import Sequence

from flowsim.document.words.standing import ALWAYS
from flowsim.document.words.telling import all_told, told
from flowsim.files.results.check_json import all_cautions, versions
from flowsim.files.results.json_text import Json, JsonValue, json_text
from flowsim.files.results.unusable_json import number
from flowsim.files.units import shown as to
from flowsim.studies.flight.result import FlightEvent, FlightResult, Percentiles, PhaseSummary
from flowsim.studies.flight.transfer import TransferRow

SCHEMA = "flowsim.flight/1"
TRANSFER_SCHEMA = "flowsim.transfer/1"


def flight_json(result: FlightResult, case_file: str, sha256: str) -> str:
    """Give a flight as JSON text.

    Parameters
    ----------
    result : FlightResult
        The flight.
    case_file, sha256 : str
        Name of the case file as given, and the digest of its bytes.

    Returns
    -------
    str
        One object in ASCII, keys in a fixed order, ending with a line break.
    """
    balance = result.balance
    return json_text(
        {
            "schema": SCHEMA,
            "case": {"title": result.title, "file": case_file, "sha256": sha256},
            "profile": result.profile,
            "end": result.end,
            "required_kg_per_h": number(to.kg_per_h(result.required)),
            "starved": result.starved,
            "overflowed": result.overflowed,
            "runs_back": any(phase.runs_back for phase in result.phases),
            "boils": result.boils,
            "stopped": told(result.stopped),
            "bands": _bands(result),
            "phases": [_phase(item, result.tanks) for item in result.phases],
            "events": [_event(event, result.tanks) for event in result.events],
            "balance": {
                "start_kg": number(balance.start),
                "from_stated_level_kg": number(balance.from_stated_level),
                "burned_kg": number(balance.burned),
                "overflowed_kg": number(balance.overflowed),
                "end_kg": number(balance.end),
                "misfit": number(balance.misfit),
            },
            "samples": _samples(result),
            "assumptions": list(all_told(result.assumptions)),
            "cautions": list(all_cautions(result.cautions)),
            "versions": versions(),
        }
    )


def _bands(result: FlightResult) -> JsonValue:
    bands = result.bands
    if bands is None:
        return None
    return {
        "draws": bands.draws,
        "failed_draws": bands.failed,
        "starved": number(bands.starved),
        "time_to_starvation_s": _band(bands.time, 1.0),
        "left_l": {
            name: _band(band, to.litres(1.0))
            for name, band in zip(result.tanks, bands.left, strict=True)
        },
        "left_in_all_l": _band(bands.left_in_all, to.litres(1.0)),
    }


def _band(band: Percentiles, scale: float) -> Json:
    return {
        "p5": number(scale * band.low),
        "p50": number(scale * band.middle),
        "p95": number(scale * band.high),
    }


def transfer_json(rows: Sequence[TransferRow], title: str, case_file: str, sha256: str) -> str:
    """Give the transfer between full tanks as JSON text."""
    return json_text(
        {
            "schema": TRANSFER_SCHEMA,
            "case": {"title": title, "file": case_file, "sha256": sha256},
            "overflows": any(row.overflows for row in rows),
            "rows": [_transfer(row) for row in rows],
            "cautions": list(ALWAYS),
            "versions": versions(),
        }
    )


def _volumes(tanks: Sequence[str], values: Sequence[float]) -> Json:
    return {name: number(to.litres(value)) for name, value in zip(tanks, values, strict=False)}


def _phase(item: PhaseSummary, tanks: Sequence[str]) -> Json:
    phase = item.phase
    return {
        "name": phase.name,
        "begin_s": number(item.begin),
        "end_s": number(item.end),
        "selector": phase.selector,
        "pitch_deg": number(to.degrees(phase.pitch)),
        "bank_deg": number(to.degrees(phase.lean)) if phase.turning else 0.0,
        "roll_deg": 0.0 if phase.turning else number(to.degrees(phase.lean)),
        "altitude_m": number(phase.altitude),
        "airspeed_kt": number(to.knots(phase.airspeed)),
        "fuel_temperature_c": number(to.celsius(phase.temperature)),
        "burn_kg_per_h": number(to.kg_per_h(phase.burn)),
        "asked_kg": number(item.asked),
        "burned_kg": number(item.burned),
        "overflowed_kg": number(item.overflowed),
        "starved_for_s": number(item.starved_for),
        "runs_back": item.runs_back,
        "vapour_margin_kpa": number(to.kilopascals(item.vapour_margin)),
        "fuel_at_end_l": _volumes(tanks, item.quantities),
    }


def _event(event: FlightEvent, tanks: Sequence[str]) -> Json:
    return {
        "time_s": number(event.time),
        "phase": event.phase,
        "what": event.what,
        "item": told(event.item),
        "fuel_l": _volumes(tanks, event.quantities),
    }


def _samples(result: FlightResult) -> Json:
    history = result.history
    return {
        "time_s": [number(value) for value in history.time],
        "fuel_l": {
            name: [number(to.litres(value)) for value in history.quantity[:, index]]
            for index, name in enumerate(result.tanks)
        },
        "from_tank_kg_per_h": {
            name: [number(to.kg_per_h(value)) for value in history.from_tank[:, index]]
            for index, name in enumerate(result.tanks)
        },
        "overflow_kg_per_h": {
            name: [number(to.kg_per_h(value)) for value in history.overflow[:, index]]
            for index, name in enumerate(result.tanks)
        },
        "demand_kg_per_h": [number(to.kg_per_h(value)) for value in history.demand],
        "delivered_kg_per_h": [number(to.kg_per_h(value)) for value in history.delivered],
        "head_left_mm": [number(to.millimetres(value)) for value in history.head_left],
        "starved": [bool(value) for value in history.starved],
    }


def _transfer(row: TransferRow) -> Json:
    return {
        "selector": row.selector,
        "situation": row.situation,
        "roll_deg": number(to.degrees(row.roll)),
        "duration_s": number(row.duration),
        "start_l": _volumes(row.tanks, row.start),
        "end_l": _volumes(row.tanks, row.end),
        "overflow_l": _volumes(row.tanks, row.overflow),
        "of_it_at_once_l": _volumes(row.tanks, row.at_once),
        "first_overflow_s": number(row.first_overflow),
        "overflows": row.overflows,
        "joined_in_every_position": list(row.never_parted),
        "stopped": told(row.stopped),
    }

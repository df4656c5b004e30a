"""The routing study as one JSON object, ``flowsim.routing/1``: a unit in each key."""

import math
from collections import Counter

from flowsim.document.words.telling import all_told, told
from flowsim.files.results.check_json import all_cautions, versions
from flowsim.files.results.json_text import Json, JsonValue, json_text
from flowsim.files.units import shown as to
from flowsim.studies.routing.result import (
    AttitudeView,
    Bend,
    Clearance,
    Cut,
    Finding,
    HighPoint,
    LowPoint,
    PictureCrossing,
    Place,
    Refill,
    RoutingResult,
    Run,
    SupportSpan,
)
from flowsim.system.points import Point

SCHEMA = "flowsim.routing/1"


def routing_json(result: RoutingResult, case_file: str, sha256: str) -> str:
    """Give the routing study as JSON text.

    Parameters
    ----------
    result : RoutingResult
        The answer.
    case_file : str
        The case file's name as it was given.
    sha256 : str
        Digest of the case file's bytes, hexadecimal.

    Returns
    -------
    str
        One object in ASCII, ending with a line break; numbers that do not exist are null.
    """
    return json_text(routing_object(result, case_file, sha256))


def routing_object(result: RoutingResult, case_file: str, sha256: str) -> Json:
    """Give the routing study as plain dictionaries and lists (see ``routing_json``)."""
    names = [view.name for view in result.attitudes]
    return {
        "schema": SCHEMA,
        "case": {"title": result.title, "file": case_file, "sha256": sha256},
        "exit_code": result.exit_code,
        "findings": [_finding(item) for item in result.findings],
        "attitudes": [_attitude(view) for view in result.attitudes],
        "attitudes_missing": list(all_told(result.missing_attitudes)),
        "pitch_band_deg": [_finite(to.degrees(pitch)) for pitch in result.pitch_band],
        "wanted_margin_deg": _finite(to.degrees(result.wanted_margin)),
        "runs": [_run(run, names) for run in result.runs],
        "low_points": [_low(point) for point in result.low_points],
        "high_points": [_high(point) for point in result.high_points],
        "refills": [_refill(item) for item in result.refills],
        "bends": [_bend(bend) for bend in result.bends],
        "support_spans": [_span(span) for span in result.spans],
        "clearances": [_clearance(item) for item in result.clearances],
        "crossings": [_crossing(item) for item in result.crossings],
        "cut_list": [_cut(cut) for cut in result.cuts],
        "fittings": [{"fitting": name, "count": count} for name, count in fittings_told(result)],
        "ticks": list(all_told(result.ticks)),
        "assumptions": list(all_told(result.assumptions)),
        "cautions": list(all_cautions(result.cautions)),
        "versions": versions(),
    }


def fittings_told(result: RoutingResult) -> list[tuple[str, int]]:
    """Give the fittings in words, in their order, and how many; bores that read the same are one.

    Parameters
    ----------
    result : RoutingResult

    Returns
    -------
    list of (str, int)
    """
    counted: Counter[str] = Counter()
    for fitting, count in result.fittings:
        counted[told(fitting)] += count
    return sorted(counted.items())


def _finding(item: Finding) -> Json:
    return {
        "grade": item.grade.value,
        "topic": item.topic,
        "item": told(item.item),
        "words": told(item.words),
        "source": told(item.source),
    }


def _attitude(view: AttitudeView) -> Json:
    return {
        "name": view.name,
        "pitch_deg": _finite(to.degrees(view.pitch)),
        "roll_or_bank_deg": _finite(to.degrees(view.roll)),
        "on_ground": view.on_ground,
        "from": told(view.words),
    }


def _refill(item: Refill) -> Json:
    return {
        "outlet": item.outlet,
        "attitude": item.attitude,
        "answer": item.answer,
        "down_to": item.down_to,
        "broken_at": item.broken_at or None,
        "bore_mm": _mm(item.bore),
        "most_flow_past_air_l_per_h": _finite(to.l_per_h(item.flow)),
    }


def _bend(bend: Bend) -> Json:
    return {
        "line": bend.line,
        "point": bend.point,
        "angle_deg": _finite(to.degrees(bend.angle)),
        "radius_mm": _mm(bend.radius),
        "least_radius_mm": _mm(bend.least),
        "size_in_table": bend.exact,
        "source": told(bend.source),
    }


def _crossing(item: PictureCrossing) -> Json:
    return {
        "view": item.view,
        "outside": item.outside,
        "inside": item.inside,
        "how": told(item.words),
        "at_mm": _point(item.at),
        "apart_mm": _mm(item.apart),
    }


def _run(run: Run, names: list[str]) -> Json:
    falls: Json = {
        name: _finite(to.degrees(fall)) for name, fall in zip(names, run.falls, strict=True)
    }
    return {
        "line": run.line,
        "run": run.number,
        "start_mm": _point(run.start),
        "end_mm": _point(run.end),
        "length_mm": _mm(run.length),
        "fall_deg": falls,
        "sense": run.sense,
        "least_deg": _finite(to.degrees(run.least)),
        "margin_deg": _finite(to.degrees(run.margin)),
        "is_mean": run.is_mean,
    }


def _low(point: LowPoint) -> Json:
    return {
        "attitude": point.attitude,
        "place": _place(point.place),
        "vent_line": point.vent_line,
        "depth_mm": _mm(point.depth),
        "volume_ml": _ml(point.volume),
        "spills_at": told(point.spill),
        "drains": [{"drain": told(item.drain), "left_ml": _ml(item.left)} for item in point.drains],
        "drained": point.is_drained,
        "course_known": point.known,
    }


def _high(point: HighPoint) -> Json:
    return {
        "attitude": point.attitude,
        "place": _place(point.place),
        "height_mm": _mm(point.height),
        "air_ml": _ml(point.volume),
        "air_column_mm": _mm(point.column),
        "state": point.state,
        "doubtful": point.is_doubtful,
        "decided_by": told(point.case) or None,
        "leg_line": point.line or None,
        "leg_slope_deg": _finite(to.degrees(point.slope)),
        "flow_in_leg_l_per_h": _finite(to.l_per_h(point.flow)),
        "clearing_flow_l_per_h": _finite(to.l_per_h(point.clearing_flow)),
        "flow_with_full_lines_kg_per_h": _finite(to.kg_per_h(point.delivered)),
        "flow_with_trapped_air_kg_per_h": _finite(to.kg_per_h(point.delivered_with_air)),
    }


def _span(span: SupportSpan) -> Json:
    return {
        "line": span.line,
        "start_mm": _mm(span.start),
        "end_mm": _mm(span.end),
        "largest_mm": _mm(span.largest),
        "source": told(span.source),
        "flattest_in": span.attitude,
        "fall_deg": _finite(to.degrees(span.fall)),
        "sag_mm": _mm(span.sag),
        "sag_clamped_mm": _mm(span.sag_fixed),
        "dip_mm": _mm(span.dip),
        "dip_ml": _ml(span.dip_volume),
        "small_deflection": span.is_in_range,
    }


def _clearance(item: Clearance) -> Json:
    return {
        "line": item.line,
        "other": item.other,
        "kind": item.kind,
        "gap_mm": _mm(item.gap),
        "wanted_mm": _mm(item.wanted),
        "at_mm": _point(item.at),
        "other_at_mm": _point(item.other_at),
        "source": told(item.source),
    }


def _cut(cut: Cut) -> Json:
    return {
        "line": cut.line,
        "size": told(cut.size),
        "material": cut.material,
        "centre_line_mm": _mm(cut.centre_line),
        "make_up_mm": _mm(cut.make_up),
        "pieces": cut.pieces,
        "trim_mm": _mm(cut.trim),
        "cut_mm": _mm(cut.cut),
        "bends": cut.bends,
        "supports": None if cut.supports < 0 else cut.supports,
        "supports_stated": cut.supports_stated,
        "sleeves": cut.sleeves,
        "sleeve_length_mm": _mm(cut.sleeve_length),
        "wraps": cut.wraps,
        "wrap_length_mm": _mm(cut.wrap_length),
        "tube_g": _finite(1e3 * cut.tube_mass),
        "fuel_ml": _ml(cut.fuel_volume),
        "fuel_g": _finite(1e3 * cut.fuel_mass),
        "sleeves_g": _finite(1e3 * cut.sleeve_mass),
    }


def _place(place: Place) -> Json:
    return {
        "words": told(place.words),
        "node": None if place.node is None else told(place.words),
        "line": place.line,
        "along_mm": _mm(place.along),
        "at_mm": _point(place.at),
    }


def _point(point: Point) -> list[JsonValue]:
    return [_mm(axis) for axis in point]


def _mm(length: float | None) -> float | None:
    return None if length is None else _finite(to.millimetres(length))


def _ml(volume: float) -> float | None:
    return _finite(1e6 * volume)


def _finite(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None

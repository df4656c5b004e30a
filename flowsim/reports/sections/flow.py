"""Deliverable flow against pitch, and the map of the margin over pitch and quantity."""

import math

from flowsim.document.blocks import Block, Explorer, Figure, Words
from flowsim.document.pictures import AxisMark, Flow, FlowBand, FlowCurve, FlowPoint, Margin
from flowsim.document.words.telling import told
from flowsim.files.results.report_model import Section
from flowsim.files.units import shown as to
from flowsim.measures import VOLUME
from flowsim.network.assembly import selector_words
from flowsim.reports.pages.pitch_table import pitch_tables
from flowsim.reports.sections.grid import Grid, LeastAtPitch, carries, grid_of, names
from flowsim.reports.sections.kit import finite, gap, section
from flowsim.reports.sections.system import litres_label
from flowsim.reports.words.units import mass_flow_words, pitch_words, ratio_words
from flowsim.studies.report.collect import ReportStudy
from flowsim.studies.report.flow_bands import DRAWS, PitchBand
from flowsim.studies.report.margin_map import MarginMap
from flowsim.studies.result import AdequacyResult

WIDE = 200


def flow_section(study: ReportStudy) -> Section:
    """Draw flow against pitch for every selector position and end, a curve for each fuel state."""
    result = study.check
    grid = grid_of(result)
    blocks: list[Block] = [
        Words(
            text="Each curve is the least over fuel temperatures, and screens where they are "
            f"judged. {_band_words(study)} Open "
            "ring: an outlet is uncovered; triangle: the figure is where air begins to be drawn; "
            "filled triangle: air is drawn at the required flow. The tint behind marks the judged "
            "attitudes. The declared unusable fuel is asked for full-power burn only."
        ),
        *flow_figures(study, grid),
    ]
    still = [name for name in names(grid, 0) if not carries(grid, name)]
    if still:
        blocks.append(Words(text=f"No flow at any pitch: {', '.join(still)}.", tone="note"))
    blocks += pitch_tables(result, WIDE)
    return section("flow", "Flow against pitch", blocks)


def flow_figures(study: ReportStudy, grid: Grid) -> list[Figure]:
    """Give the picture of every selector position and end that carries a flow.

    Parameters
    ----------
    study : ReportStudy
    grid : Grid
        Of its check.

    Returns
    -------
    list of Figure
    """
    top = _top(grid)
    found = study.bands.result or ()
    return [
        _figure(
            study.check,
            grid,
            (selector, end),
            [b for b in found if b.selector == selector and b.end == end],
            top,
        )
        for end in names(grid, 2)
        for selector in names(grid, 0)
        if carries(grid, selector)
    ]


def flow_figure(study: ReportStudy, grid: Grid, selector: str, end: str) -> Figure | None:
    """Give the picture of one selector position and end; None where it is not in the grid."""
    if not any(key[0] == selector and key[2] == end for key in grid):
        return None
    bands = [b for b in study.bands.result or () if b.selector == selector and b.end == end]
    return _figure(study.check, grid, (selector, end), bands, _top(grid))


def try_section(_study: ReportStudy) -> Section:
    """Make room for the part of the page in which one can try attitudes."""
    words = (
        "In the page, with scripts on: choose selector position, fuel state and end, move the "
        "pitch, and read flow, margin and uncovered outlets; the system is shown tilted with its "
        "fuel surfaces. Nothing is computed there: it shows the results above, one at a time."
    )
    return section("try", "One attitude at a time", [Words(text=words), Explorer()])


def margin_section(study: ReportStudy) -> Section:
    """Draw the map of margin over pitch and quantity for every judged position."""
    title = "Margin over pitch and quantity"
    maps = study.margins.result
    if maps is None:
        return gap("margin", title, study.margins.why_not)
    if not maps:
        return gap("margin", title, "every tank's level is stated, so there is no quantity to vary")
    blocks: list[Block] = [
        Words(
            text="Flow in percent of the required, nominal values, screens at 20 % clear or as "
            "stated where less, the least over the judged fuel temperatures; every tank with a "
            f"quantity holds the same. At the {maps[0].end}."
        ),
        *(_margin_figure(study, item) for item in maps),
    ]
    return section("margin", title, blocks)


def attitude_marks(result: AdequacyResult) -> tuple[AxisMark, ...]:
    """Give the named attitudes, in degrees."""
    named = (
        (result.level_pitch, "level"),
        (result.climb_pitch, "climb"),
        (result.test_pitch, "test"),
    )
    return tuple(AxisMark(value=round(to.degrees(pitch), 2), name=name) for pitch, name in named)


def _figure(
    result: AdequacyResult, grid: Grid, place: tuple[str, str], bands: list[PitchBand], top: float
) -> Figure:
    selector, end = place
    states = names(grid, 1)
    mine = {key[1]: found for key, found in grid.items() if key[0] == selector and key[2] == end}
    judged = any(least.scenario.judged for found in mine.values() for least in found)
    requirement = result.requirement
    low, high = sorted((result.level_pitch, result.test_pitch))
    picture = Flow(
        title=f"{selector_words(selector)}, {end}",
        required_kg_per_h=round(to.kg_per_h(requirement.required), 3),
        burn_kg_per_h=round(to.kg_per_h(requirement.burn), 3),
        top_kg_per_h=top,
        marks=attitude_marks(result),
        judged_deg=(to.degrees(low), to.degrees(high)) if judged else None,
        curves=tuple(_curve(name, states.index(name), found) for name, found in mine.items()),
        band=_band(bands),
    )
    return Figure(
        caption=f"{selector_words(selector)}, {end}: flow against pitch.",
        alt=_flow_words(result, mine),
        picture=picture,
    )


def _curve(name: str, style: int, found: tuple[LeastAtPitch, ...]) -> FlowCurve:
    points = tuple(
        FlowPoint(
            pitch_deg=round(to.degrees(least.pitch), 2),
            kg_per_h=finite(least.flow, 3600.0, 2),
            sign=least.sign,
        )
        for least in found
    )
    return FlowCurve(name=name, style=style, points=points)


def _band(found: list[PitchBand]) -> tuple[FlowBand, ...]:
    """Give the band at each pitch; a pitch at which a draw failed is left out."""
    made = []
    for item in sorted(found, key=lambda band: band.pitch):
        low, high = finite(item.low, 3600.0, 2), finite(item.high, 3600.0, 2)
        if low is not None and high is not None:
            pitch = round(to.degrees(item.pitch), 2)
            made.append(FlowBand(pitch_deg=pitch, low_kg_per_h=low, high_kg_per_h=high))
    return tuple(made)


def _band_words(study: ReportStudy) -> str:
    if study.bands.result is None:
        return f"No band is drawn: {told(study.bands.why_not)}."
    return f"Shaded: 5 to 95 % of {DRAWS} Monte Carlo draws of the least curve, where it is judged."


def _flow_words(result: AdequacyResult, mine: dict[str, tuple[LeastAtPitch, ...]]) -> str:
    said = [f"Required {mass_flow_words(result.requirement.required)}."]
    for name, found in mine.items():
        least = min(found, key=lambda item: -math.inf if math.isnan(item.flow) else item.flow)
        said.append(f"{name}: least {mass_flow_words(least.flow)} at {pitch_words(least.pitch)}.")
    return " ".join(said)


def _top(grid: Grid) -> float:
    flows = [to.kg_per_h(least.flow) for found in grid.values() for least in found]
    return round(max((flow for flow in flows if math.isfinite(flow)), default=1.0), 3)


def _margin_figure(study: ReportStudy, item: MarginMap) -> Figure:
    result = study.check
    low, high = sorted((result.level_pitch, result.test_pitch))
    picture = Margin(
        title=selector_words(item.selector),
        pitch_deg=tuple(round(to.degrees(value), 2) for value in item.pitch.tolist()),
        litres=tuple(litres_label(value) for value in item.quantity.tolist()),
        percent=tuple(tuple(finite(v, 100.0, 1) for v in row) for row in item.ratio.tolist()),
        air=tuple(tuple(bool(v) for v in row) for row in item.air.tolist()),
        pitch_marks=attitude_marks(result),
        litre_marks=_quantity_marks(study, float(item.quantity[-1])),
        judged_deg=(to.degrees(low), to.degrees(high)),
    )
    inside = (item.pitch >= low - 1e-9) & (item.pitch <= high + 1e-9)
    judged = item.ratio[:, inside]
    place = divmod(int(judged.argmin()), judged.shape[1])  # NaN counts as the least
    least = float(judged[place])
    pitch = float(item.pitch[inside][place[1]])
    return Figure(
        caption=f"{selector_words(item.selector)}: percent of the required flow.",
        alt=f"Between level and the test attitude the least is {ratio_words(least)} of the "
        f"required flow, at {pitch_words(pitch)} with "
        f"{VOLUME.words(float(item.quantity[place[0]]), 2)} in each tank.",
        picture=picture,
    )


def _quantity_marks(study: ReportStudy, most: float) -> tuple[AxisMark, ...]:
    """Mark declared unusable, test quantity and least take-off of the tank with the most."""
    tanks = [tank for tank in study.system.tanks if tank.unusable is not None]
    unusable = max((tank.unusable or 0.0 for tank in tanks), default=0.0)
    takeoff = max((tank.least_takeoff or 0.0 for tank in tanks), default=0.0)
    named = (
        (unusable, "declared unusable"),
        (unusable + study.system.test_draw, "test quantity"),
        (takeoff, "least take-off"),
    )
    return tuple(
        AxisMark(value=litres_label(value), name=name)
        for value, name in named
        if 0.0 < value <= most
    )

"""What the page lets one try: cells of the sweep and fuel surfaces, all worked out beforehand."""

import math

from flowsim.document.words.telling import all_told, told
from flowsim.files.results.check_json import air_at_required
from flowsim.files.results.report_model import Tries, TryCell, TrySeen, TrySet
from flowsim.files.units import shown as to
from flowsim.measures import MASS_FLOW, PRESSURE, TEMPERATURE, percent_figure
from flowsim.reports.sections.grid import Grid, LeastAtPitch, grid_of, names
from flowsim.reports.sections.kit import finite
from flowsim.reports.sections.views import chain, side
from flowsim.reports.words.scenarios import pitch_name, same_angle
from flowsim.reports.words.units import mass_flow_words
from flowsim.studies.report.collect import ReportStudy
from flowsim.studies.report.tilted import fuel_seen
from flowsim.studies.result import AdequacyResult, ScenarioResult
from flowsim.studies.verdict.judging import SEVERITY


def tries(study: ReportStudy) -> Tries:
    """Put together what the page shows, one attitude at a time.

    Parameters
    ----------
    study : ReportStudy

    Returns
    -------
    Tries
        Pitches: whole degrees, the named attitudes and where each requirement is decided.
    """
    result = study.check
    grid = grid_of(result)
    pitches = _pitches(result, grid)
    selectors, states, ends = (names(grid, place) for place in range(3))
    outlets = list(study.system.outlet_nodes())
    sets = [
        TrySet(
            selector=selectors.index(key[0]),
            state=states.index(key[1]),
            end=ends.index(key[2]),
            cells=_cells(result, grid[key], pitches, outlets),
        )
        for key in grid
    ]
    held = {key[1]: found[0].scenario.quantities for key, found in grid.items()}
    seen = tuple(
        tuple(_seen(study, tuple(q for _, q in held[state]), pitch) for pitch in pitches)
        for state in states
    )
    places = study.system.places()
    deciding = result.deciding_scenario
    nothing = fuel_seen(study.assembly, tuple(q for _, q in held[states[0]]), 0.0)
    return Tries(
        flow_unit=MASS_FLOW.name,
        flow_factor=MASS_FLOW.of(1.0 / 3600.0),
        pitch_deg=tuple(round(to.degrees(pitch), 2) for pitch in pitches),
        pitch_names=tuple(pitch_name(pitch, result) for pitch in pitches),
        selectors=tuple(selectors),
        states=tuple(states),
        ends=tuple(ends),
        outlets=tuple(outlets),
        tanks=tuple(tank.name for tank in study.system.tanks),
        start=(
            selectors.index(deciding.selector),
            states.index(deciding.fuel_state),
            ends.index(deciding.end),
            min(range(len(pitches)), key=lambda i: abs(pitches[i] - deciding.pitch)),
        ),
        view=side(study, 0.0, nothing, "side view"),
        outlet_at=chain(tuple((places[name].station, places[name].waterline) for name in outlets)),
        sets=tuple(sets),
        seen=seen,
    )


def _pitches(result: AdequacyResult, grid: Grid) -> list[float]:
    wanted = [result.level_pitch, result.climb_pitch, result.test_pitch]
    wanted += [result.scenarios[line.deciding].pitch for line in result.lines]
    picked: list[float] = []
    for pitch in sorted({least.pitch for found in grid.values() for least in found}):
        whole = same_angle(pitch, math.radians(round(to.degrees(pitch))))
        if (whole or any(same_angle(pitch, other) for other in wanted)) and not (
            picked and same_angle(pitch, picked[-1])
        ):
            picked.append(pitch)
    return picked


def _cells(
    result: AdequacyResult,
    found: tuple[LeastAtPitch, ...],
    pitches: list[float],
    outlets: list[str],
) -> tuple[TryCell | None, ...]:
    cells: list[TryCell | None] = []
    for pitch in pitches:
        least = next((item for item in found if same_angle(item.pitch, pitch)), None)
        cells.append(None if least is None else _cell(result, least, outlets))
    return tuple(cells)


def _cell(result: AdequacyResult, least: LeastAtPitch, outlets: list[str]) -> TryCell:
    scenario = least.scenario
    bare = {name for item in least.behind for name in item.uncovered}
    flow = least.flow
    worst = max((item.verdict for item in least.behind), key=lambda verdict: SEVERITY[verdict])
    return TryCell(
        flow_kg_per_h=finite(flow, 3600.0, 4),
        percent_of_required=_percent(flow, scenario.required),
        percent_of_burn=_percent(flow, result.requirement.burn),
        required_kg_per_h=round(to.kg_per_h(scenario.required), 4),
        low_kg_per_h=finite(scenario.flow_low, 3600.0, 4),
        high_kg_per_h=finite(scenario.flow_high, 3600.0, 4),
        uncovered=tuple(outlets.index(name) for name in outlets if name in bare),
        verdict=worst.value,
        judged=any(item.judged for item in least.behind),
        remark=_remark(least, scenario),
    )


def _percent(part: float, whole: float) -> float | None:
    """Give percent as the check prints it, rounded down to a tenth."""
    ratio = part / whole if whole else math.nan
    return float(percent_figure(ratio)) if math.isfinite(ratio) else None


def _remark(least: LeastAtPitch, scenario: ScenarioResult) -> str:
    warm = TEMPERATURE.words(scenario.temperature, 1)
    said = [f"least of {len(least.behind)} cases: {warm}, screens {told(scenario.screens)}"]
    if any(air_at_required(item) for item in least.behind):
        said.append("air is drawn at the required flow")
    elif scenario.air_drawn:
        full = mass_flow_words(scenario.solved_flow)
        said.append(f"the figure is where air begins; lines full of fuel would carry {full}")
    if scenario.backflow:
        said.append(f"fuel flows back into {', '.join(scenario.backflow)}")
    if scenario.humps:
        said.append(f"air may stay in {', '.join(all_told(scenario.humps))}, leaving "
                    f"{mass_flow_words(scenario.flow_trapped)}")  # fmt: skip
    if math.isfinite(scenario.vapour_margin):
        margin = PRESSURE.words(scenario.vapour_margin, 1)
        said.append(f"{margin} over vapour pressure")
    if not all(item.converged for item in least.behind):
        said.append("a solve failed")
    return "; ".join(said)


def _seen(study: ReportStudy, quantities: tuple[float, ...], pitch: float) -> tuple[TrySeen, ...]:
    return tuple(
        TrySeen(fuel=chain(item.outline), surface=chain(item.line))
        for item in fuel_seen(study.assembly, quantities, pitch)
    )

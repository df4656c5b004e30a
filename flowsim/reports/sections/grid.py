"""The sweep in order: by selector position, fuel state and end, the least flow at each pitch."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from flowsim.document.pictures import Sign
from flowsim.files.results.check_json import air_at_required
from flowsim.reports.pages.pitch_table import cell_of
from flowsim.reports.words.scenarios import same_angle
from flowsim.studies.result import AdequacyResult, ScenarioResult

Key = tuple[str, str, str]
_FLOWN_OTHERWISE = ("descent", "takeoff_run", "in_flight")


@dataclass(frozen=True, slots=True, kw_only=True)
class LeastAtPitch:
    """What stands at one pitch [rad]: the scenario with the least flow, and all behind it."""

    pitch: float
    scenario: ScenarioResult
    behind: tuple[ScenarioResult, ...]

    @property
    def flow(self) -> float:
        """Least flow [kg/s], NaN as soon as one solve failed."""
        return cell_of(self.behind).flow

    @property
    def sign(self) -> Sign:
        """Mark for the picture: the gravest of what is behind it."""
        if any(air_at_required(scenario) for scenario in self.behind):
            return "air drawn"
        if any(scenario.air_drawn for scenario in self.behind):
            return "air begins"
        return "uncovered" if any(scenario.uncovered for scenario in self.behind) else ""


Grid = dict[Key, tuple[LeastAtPitch, ...]]


def grid_of(result: AdequacyResult) -> Grid:
    """Order the scenarios with wings level at the open line and behind the carburettor.

    Those that are flown otherwise are left out: the stated descent, the take-off run, and the open
    line in flight.

    Parameters
    ----------
    result : AdequacyResult

    Returns
    -------
    dict
        By (selector, fuel state, end), pitch rising: the least over fuel temperatures and screens.
    """
    behind: dict[Key, dict[int, list[ScenarioResult]]] = {}
    for scenario in result.scenarios:
        if scenario.purpose in _FLOWN_OTHERWISE or not same_angle(scenario.roll, 0.0):
            continue
        key = (scenario.selector, scenario.fuel_state, scenario.end)
        pitch = round(math.degrees(scenario.pitch) * 1000)
        behind.setdefault(key, {}).setdefault(pitch, []).append(scenario)
    return {
        key: tuple(_least(found[pitch]) for pitch in sorted(found)) for key, found in behind.items()
    }


def names(grid: Grid, place: int) -> list[str]:
    """Give the selectors (0), fuel states (1) or ends (2) in the order of the sweep."""
    return list(dict.fromkeys(key[place] for key in grid))


def carries(grid: Grid, selector: str) -> bool:
    """Tell whether anything flows in a position; "off" carries nothing."""
    mine = [least for key, found in grid.items() if key[0] == selector for least in found]
    return any(not abs(least.flow) < 1e-9 for least in mine)


def _least(scenarios: Iterable[ScenarioResult]) -> LeastAtPitch:
    some = tuple(scenarios)
    least = min(some, key=lambda s: -math.inf if math.isnan(s.flow) else s.flow)
    return LeastAtPitch(pitch=least.pitch, scenario=least, behind=some)

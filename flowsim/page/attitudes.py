"""What can be looked up while pitch is dragged: flows of the sweep, and the fuel surfaces.

Everything is worked out here, by the functions that the check's own table of pitch uses; the page
only looks up.
"""

import math
from typing import Any

import numpy as np

from flowsim.files.units import shown as to
from flowsim.network.assembly import Assembly
from flowsim.page.wire import Wire
from flowsim.physics.attitude import effective_gravity
from flowsim.physics.tank.surface import surface_elevation_of
from flowsim.reports.pages.pitch_table import cell_of
from flowsim.reports.sections.grid import Grid, LeastAtPitch, names
from flowsim.reports.words.scenarios import pitch_name
from flowsim.reports.words.units import flow_words, mass_flow_words, ratio_words
from flowsim.studies.result import AdequacyResult, ScenarioResult


def attitudes(assembly: Assembly, result: AdequacyResult, grid: Grid) -> Wire:
    """Give the flow at each pitch for every selector position, fuel state and end.

    Parameters
    ----------
    assembly : Assembly
    result : AdequacyResult
        Of the same system; its verdict is not looked at.
    grid : Grid
        Of the same result.

    Returns
    -------
    dict
        ``pitch_deg`` with ``pitch_names``; ``selectors``, ``states``, ``ends``; ``sets``: a cell
        at each pitch, None where nothing was worked out; ``surfaces`` [mm along gravity] by state,
        tank and pitch; ``start``: where the deciding scenario is.
    """
    pitches = _pitches(result, grid)
    place = {round(math.degrees(pitch) * 1000): index for index, pitch in enumerate(pitches)}
    selectors, states, ends = (names(grid, axis) for axis in range(3))
    deciding = result.deciding_scenario
    held = {key[1]: dict(found[0].scenario.quantities) for key, found in grid.items()}
    return {
        "pitch_deg": [round(to.degrees(pitch), 2) for pitch in pitches],
        "pitch_names": [pitch_name(pitch, result) for pitch in pitches],
        "named": _named(result, pitches),
        "selectors": selectors,
        "states": states,
        "ends": ends,
        "sets": [
            {
                "selector": selectors.index(key[0]),
                "state": states.index(key[1]),
                "end": ends.index(key[2]),
                "cells": _cells(result, found, place),
            }
            for key, found in grid.items()
        ],
        "surfaces": _surfaces(assembly, [held[state] for state in states], np.array(pitches)),
        "start": _start(selectors, states, ends, pitches, deciding),
    }


def start_of(seen: Wire, deciding: ScenarioResult) -> list[int]:
    """Give where a scenario lies among attitudes: places of selector, state, end and pitch."""
    pitches = [math.radians(pitch) for pitch in seen["pitch_deg"]]
    return _start(seen["selectors"], seen["states"], seen["ends"], pitches, deciding)


def _start(
    selectors: list[str],
    states: list[str],
    ends: list[str],
    pitches: list[float],
    deciding: ScenarioResult,
) -> list[int]:
    def place(names: list[str], name: str) -> int:
        return names.index(name) if name in names else 0

    return [
        place(selectors, deciding.selector),
        place(states, deciding.fuel_state),
        place(ends, deciding.end),
        _nearest(pitches, deciding.pitch),
    ]


def _nearest(pitches: list[float], wanted: float) -> int:
    return min(range(len(pitches)), key=lambda index: abs(pitches[index] - wanted))


def _named(result: AdequacyResult, pitches: list[float]) -> dict[str, int]:
    """Give the places of the named attitudes."""
    wanted = {"level": result.level_pitch, "climb": result.climb_pitch,
              "test": result.test_pitch, "deciding": result.deciding_scenario.pitch}  # fmt: skip
    return {name: _nearest(pitches, pitch) for name, pitch in wanted.items()}


def _pitches(result: AdequacyResult, grid: Grid) -> list[float]:
    """Give every whole degree, the named attitudes, and where each requirement is decided."""
    wanted = [result.level_pitch, result.climb_pitch, result.test_pitch]
    wanted += [result.scenarios[line.deciding].pitch for line in result.lines]
    every = {round(math.degrees(p) * 1000): p for p in sorted(
        {least.pitch for found in grid.values() for least in found})}  # fmt: skip
    keep = {round(math.degrees(pitch) * 1000) for pitch in wanted}
    return [pitch for mark, pitch in sorted(every.items()) if mark % 1000 == 0 or mark in keep]


def _cells(
    result: AdequacyResult, found: tuple[LeastAtPitch, ...], place: dict[int, int]
) -> list[Wire | None]:
    cells: list[Wire | None] = [None] * len(place)
    for least in found:
        index = place.get(round(math.degrees(least.pitch) * 1000))
        if index is not None:
            cells[index] = _cell(result, least)
    return cells


def _cell(result: AdequacyResult, least: LeastAtPitch) -> Wire:
    """Give one attitude in words and numbers, worst of what is behind it."""
    cell, scenario = cell_of(least.behind), least.scenario
    required = scenario.required
    bare = dict.fromkeys(name for item in least.behind for name in item.uncovered)
    sign = "air is drawn at the required flow" if cell.air_drawn else (
        "air begins to be drawn above the required flow" if cell.air_limits else "")  # fmt: skip
    volume = scenario.volume_flow if math.isfinite(cell.flow) else math.nan
    return {
        "flow": flow_words(cell.flow, volume),
        "kg_per_h": round(to.kg_per_h(cell.flow), 4) if math.isfinite(cell.flow) else None,
        "percent": ratio_words(cell.flow / required if required else math.nan),
        "required": mass_flow_words(required),
        "of_burn": ratio_words(cell.flow / result.requirement.burn),
        "below": cell.below,
        "uncovered": list(bare),
        "air": sign,
        "judged": any(item.judged for item in least.behind),
    }


def _surfaces(
    assembly: Assembly, held: list[dict[str, float]], pitches: np.ndarray[Any, Any]
) -> list[list[list[float | None]]]:
    """Height of the fuel surfaces along gravity [mm]: by state, by tank, at each pitch."""
    gravity = effective_gravity(pitches, np.zeros(len(pitches)))
    found: dict[tuple[str, float], list[float | None]] = {}
    for state in held:
        for tank in assembly.system.tanks:
            key = (tank.name, state[tank.name])
            if key not in found:
                volume = np.full(len(pitches), state[tank.name])
                height = surface_elevation_of(tank.shape, gravity, volume)
                found[key] = [
                    round(1000.0 * h, 1) if math.isfinite(h) else None for h in height.tolist()
                ]
    return [[found[tank.name, state[tank.name]] for tank in assembly.system.tanks]
            for state in held]  # fmt: skip

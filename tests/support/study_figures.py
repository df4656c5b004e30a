"""The figures that somebody acts on, from every study, on nominal values, without names.

For comparing two systems that are the same aeroplane: names and the order of things may differ, so
figures are sorted, and what is told by name is left out.
"""

import math
from collections.abc import Iterator

import numpy as np

from flowsim.errors import DomainError
from flowsim.studies.changes.resize import Size
from flowsim.studies.flight.profile import fly
from flowsim.studies.ground_test.plan import plan
from flowsim.studies.sizing.inverse import Basis, least_head, steepest_pitch
from flowsim.studies.sizing.study import size_lines
from flowsim.studies.unusable.study import unusable_fuel
from flowsim.studies.what_if.study import usual_what_ifs, what_if
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.profile import Phase, Profile

SIZES = (Size("small", 0.0046), Size("middle", 0.0062), Size("wide", 0.0077))
Figures = dict[str, list[float]]


def sizes(system: FuelSystem) -> Figures:
    """Every line in three sizes: least ratio of each, and whether it is enough."""
    names = tuple(line.name for line in system.lines)
    found = size_lines(system, names, SIZES, nominal=True, draws=0, seed=0).sizes
    chosen = [item for item in found if item.size.name in {size.name for size in SIZES}]
    return {
        "size, least": [item.least for item in chosen],
        "size, enough": [float(item.meets_nominal) for item in chosen],
    }


def what_ifs(system: FuelSystem) -> Figures:
    """Least ratios in the usual what-ifs."""
    rows = what_if(system, usual_what_ifs(system), nominal=True, draws=0, seed=0).rows
    found = sorted((row.word.split("=")[0], *(cell.least for cell in row.cells)) for row in rows)
    return {f"what-if {number} {row[0]}": list(row[1:]) for number, row in enumerate(found)}


def unusable(system: FuelSystem) -> Figures:
    """Limits of each tank [L]."""
    tanks = unusable_fuel(system, nominal=True).tanks
    rows = sorted(
        [1e3 * tank.burn.quantity, 1e3 * tank.required.quantity, 1e3 * tank.stops.quantity]
        for tank in tanks
    )
    return {f"unusable fuel, tank {number}": row for number, row in enumerate(rows)}


def edges(system: FuelSystem) -> Figures:
    """Least head and steepest pitch over level."""
    basis = Basis(draws=0, seed=0)
    level = system.flight.level_pitch
    return {
        "least head": [least_head(system, basis).value],
        "steepest pitch": [steepest_pitch(system, basis).value - level],
    }


def flight(system: FuelSystem) -> Figures:
    """What is left after a climb and a cruise on the first feeding position."""
    from flowsim.network.assembly import assemble

    positions = [position.name for position in assemble(system).positions if position.judged]
    kind = {"lean": 0.0, "turning": True, "temperature": 288.15, "altitude": 500.0}
    flight_ = system.flight
    phases = tuple(
        Phase(
            name=name, duration=600.0, pitch=pitch, burn=burn, selector=positions[0],
            airspeed=flight_.climb_speed, **kind,
        )
        for name, pitch, burn in (
            ("climb", flight_.climb_pitch, system.engine.burn),
            ("level", flight_.level_pitch, 0.7 * system.engine.burn),
        )
    )  # fmt: skip
    start = tuple((tank.name, tank.least_takeoff or 0.0) for tank in system.tanks)
    result = fly(system, Profile(title="", start=start, phases=phases))
    return {
        "flight, burned [kg]": [result.balance.burned],
        "flight, left [L]": sorted(1e3 * result.history.quantity[-1]),
    }


def ground_test_card(system: FuelSystem) -> Figures:
    """Times of the runs that have a mark, in order of length [s]."""
    card = plan(system, draws=64, seed=3)
    return {
        "mark, required [kg/h]": [3600 * card.required],
        "vent test [L]": sorted(1e3 * np.nan_to_num(test.stops_after) for test in card.vents),
        "runs with a mark": [float(sum(run.needed for run in card.runs))],
    }


STUDIES = (sizes, what_ifs, unusable, edges, flight, ground_test_card)


def study_differences(one: FuelSystem, other: FuelSystem, rewriting: str) -> Iterator[str]:
    """Compare every study's figures of two systems that are the same aeroplane.

    Yields
    ------
    str
        What differs.
    """
    loose = rewriting == "turned"
    for study in STUDIES:
        if study is sizes and rewriting == "piece_as_line":
            continue  # the piece is a line there, and is given the new size too
        first, second = _figures(study, one), _figures(study, other)
        if set(first) != set(second):
            yield f"{study.__name__}: {sorted(first)} became {sorted(second)}"
            continue
        for key, values in first.items():
            near = 3e-2 if loose else 2e-3 if study is unusable else 1e-5
            same = len(values) == len(second[key]) and np.allclose(
                values, second[key], rtol=near, atol=0.03 if study is unusable else near,
                equal_nan=True,
            )  # fmt: skip
            if not same:
                yield f"{key}: {_shown(values)} became {_shown(second[key])}"


def _figures(study: object, system: FuelSystem) -> Figures:
    assert callable(study)
    try:
        found: Figures = study(system)
    except DomainError as error:
        return {f"refused: {type(error).__name__}": [math.nan]}
    return found


def _shown(values: list[float]) -> str:
    return ", ".join(f"{value:.6g}" for value in values)

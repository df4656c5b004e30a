"""An empty file of readings for a plan: CSV that any spreadsheet opens."""

import csv
import io
import math
from collections.abc import Iterator

from flowsim.files.case.cell_text import MARKS, protected
from flowsim.files.units import shown as to
from flowsim.measures import DENSITY, LENGTH, LITTLE, TEMPERATURE, VOLUME, Measure
from flowsim.studies.ground_test.result import GroundTestPlan, PlannedDrain
from flowsim.studies.ground_test.runs import CONTAINER
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import StatedLevel

_REMARKS = (
    "# Ground test of {title}. Fill in seconds, temperature, density and container; change what "
    "was otherwise.",
    "# Units stand in the headings; a cell may have its own, such as 2 US_qt or 3 L. accuracy: one "
    "standard deviation. Runs without seconds are left out.",
    "# D1 is one drain-down in place of buckets: seconds since the start at each mark; a scale's "
    "log does as well, mark in kg. Leave it empty if none is made.",
    "# line end: height of the open end above the carburettor inlet, below is negative. fit: no "
    "keeps a run from correcting the model.",
    "# An estimate, not an approval: the least flow of the test decides.",
)


DIGITS = 4
"""Significant digits of what the plan sets up: a tank's measure is never read closer."""


def readings_template(system: FuelSystem, plan: GroundTestPlan) -> str:
    """Write a row for each run of a plan, its readings left empty, in the units of tables.

    Parameters
    ----------
    system : FuelSystem
    plan : GroundTestPlan

    Returns
    -------
    str
        CSV, commas, one heading, remarks after ``#``.
    """
    tanks = [tank for tank in system.tanks if not isinstance(tank.shape, StatedLevel)]
    index = {tank.name: number for number, tank in enumerate(system.tanks)}
    text = io.StringIO()
    for remark in _REMARKS:
        text.write(remark.format(title=_in_one_cell(plan.title)))
        text.write("\n")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(
        ["run", "attitude [deg]", f"line end [{LENGTH.name}]", "selector",
         *(f"fuel in {t.name} [{VOLUME.name}]" for t in tanks), f"container [{VOLUME.name}]",
         f"accuracy [{LITTLE.name}]", f"mark [{VOLUME.name}]", "seconds",
         f"temperature [{TEMPERATURE.name}]", f"density [{DENSITY.name}]", "fit", "remarks"]
    )  # fmt: skip
    number = 0
    for run in plan.runs:
        setting = run.setting
        position = protected(setting.position, MARKS)
        fuel = [_fuel(setting.quantities[index[t.name]]) for t in tanks]
        for _ in range(plan.repeats):
            number += 1
            writer.writerow(
                [number, f"{to.degrees(setting.pitch):.4g}",
                 _cell(LENGTH, setting.end_height), position, *fuel,
                 _cell(VOLUME, plan.container), _cell(LITTLE, CONTAINER * plan.container),
                 "", "", "", "", "yes", ""]
            )  # fmt: skip
    if plan.drain is not None:
        writer.writerows(_drain_rows(plan.drain, [index[tank.name] for tank in tanks]))
    return text.getvalue()


def _cell(measure: Measure, value: float) -> str:
    """Give a set-up value [SI] as it is to be read back."""
    return f"{measure.of(value):.{DIGITS}g}"


def _fuel(volume: float) -> str:
    """Give what a tank holds [m3]; never more, for more than it holds is refused."""
    shown = VOLUME.of(volume)
    if not shown > 0.0:
        return _cell(VOLUME, volume)
    step = 10.0 ** (math.floor(math.log10(shown)) + 1 - DIGITS)
    # The small number forgives the last bit of an exact figure.
    return f"{math.floor(shown / step + 1e-6) * step:.{DIGITS}g}"


def _in_one_cell(title: str) -> str:
    """Give a title without what parts cells: behind a comma "=1+1" would be a formula."""
    return "".join(c if c.isprintable() and c not in ',;"' else " " for c in title)


def _drain_rows(drain: PlannedDrain, tanks: list[int]) -> Iterator[list[str]]:
    """Give a row for each mark of the planned drain-down, the set-up in the first."""
    setting = drain.setting
    fuel = [_fuel(setting.quantities[tank]) for tank in tanks]
    for number, drawn in enumerate(drain.drawn):
        mark = _cell(VOLUME, drawn)
        if number:
            yield ["D1", "", "", "", *("" for _ in fuel), "", "", mark, "", "", "", "yes", ""]
            continue
        yield [
            "D1", f"{to.degrees(setting.pitch):.4g}", _cell(LENGTH, setting.end_height),
            protected(setting.position, MARKS), *fuel, "", "1 %", mark, "", "", "", "yes",
            "drain-down: seconds since the start at each mark",
        ]  # fmt: skip

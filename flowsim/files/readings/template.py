"""An empty file of readings for a plan: CSV that any spreadsheet opens."""

import csv
import io
from collections.abc import Iterator

from flowsim.files.units import shown as to
from flowsim.studies.ground_test.result import GroundTestPlan, PlannedDrain
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import StatedLevel

_REMARKS = (
    "# Ground test of {title}. Fill in seconds, temperature, density and container; change what "
    "was otherwise.",
    "# Units stand in the headings; a cell may have its own, such as 2 US_qt. accuracy: one "
    "standard deviation. Runs without seconds are left out.",
    "# D1 is one drain-down in place of buckets: seconds since the start at each mark; a scale's "
    "log does as well, mark in kg. Leave it empty if none is made.",
    "# line end: height of the open end above the carburettor inlet, below is negative. fit: no "
    "keeps a run from correcting the model.",
    "# An estimate, not an approval: the least flow of the test decides.",
)


def readings_template(system: FuelSystem, plan: GroundTestPlan) -> str:
    """Write a row for each run of a plan, its readings left empty.

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
        text.write(remark.format(title="".join(c if c.isprintable() else " " for c in plan.title)))
        text.write("\n")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(
        ["run", "attitude [deg]", "line end [mm]", "selector",
         *(f"fuel in {t.name} [L]" for t in tanks), "container [L]", "accuracy [mL]",
         "mark [L]", "seconds", "temperature [degC]", "density [kg/m3]", "fit", "remarks"]
    )  # fmt: skip
    number = 0
    for run in plan.runs:
        setting = run.setting
        fuel = [f"{to.litres(setting.quantities[index[t.name]]):.4g}" for t in tanks]
        for _ in range(plan.repeats):
            number += 1
            writer.writerow(
                [number, f"{to.degrees(setting.pitch):.4g}",
                 f"{to.millimetres(setting.end_height):.4g}", setting.position, *fuel,
                 f"{to.litres(plan.container):.4g}", f"{10 * to.litres(plan.container):.4g}",
                 "", "", "", "", "yes", ""]
            )  # fmt: skip
    if plan.drain is not None:
        writer.writerows(_drain_rows(plan.drain, [index[tank.name] for tank in tanks]))
    return text.getvalue()


def _drain_rows(drain: PlannedDrain, tanks: list[int]) -> Iterator[list[str]]:
    """Give a row for each mark of the planned drain-down, the set-up in the first."""
    setting = drain.setting
    fuel = [f"{to.litres(setting.quantities[tank]):.4g}" for tank in tanks]
    for number, drawn in enumerate(drain.drawn):
        mark = f"{to.litres(drawn):.4g}"
        if number:
            yield ["D1", "", "", "", *("" for _ in fuel), "", "", mark, "", "", "", "yes", ""]
            continue
        yield [
            "D1", f"{to.degrees(setting.pitch):.4g}", f"{to.millimetres(setting.end_height):.4g}",
            setting.position, *fuel, "", "1 %", mark, "", "", "", "yes",
            "drain-down: seconds since the start at each mark",
        ]  # fmt: skip

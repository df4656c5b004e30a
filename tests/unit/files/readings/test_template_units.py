"""The empty form of readings, in each choice of units, is read back as what was planned."""

import csv

import pytest

from flowsim.files.case.reader import read_case
from flowsim.files.case.unit_choice import choice_of_file
from flowsim.files.readings.reader import read_readings_text
from flowsim.files.readings.template import readings_template
from flowsim.measures import DENSITY, TEMPERATURE, Units, chosen
from flowsim.studies.ground_test.plan import plan
from flowsim.system.tanks import StatedLevel
from tests.support.every_command import CASES

WARM, DENSE = 291.15, 715.0
HEADED = {
    Units.US: ("line end [in]", "container [US gal]", "accuracy [US fl oz]", "mark [US gal]",
               "temperature [degF]", "density [lb/US gal]"),
    Units.METRIC: ("line end [mm]", "container [L]", "accuracy [mL]", "mark [L]",
                   "temperature [degC]", "density [kg/m3]"),
}  # fmt: skip
CHOICES = (None, Units.US, Units.METRIC, Units.BOTH)


@pytest.fixture(scope="module", params=["one-tank", "nose-high", "four-outlets"])
def planned(request):
    system = read_case(CASES[request.param])
    return CASES[request.param], system, plan(system, draws=64)


@pytest.mark.parametrize("asked", CHOICES)
def test_what_is_written_reads_back(planned, asked):
    path, system, made = planned
    choice = choice_of_file(path, asked)
    with chosen(choice):
        rows = list(csv.reader(readings_template(system, made).splitlines()))
        start = next(i for i, row in enumerate(rows) if row[0] == "run")
        heading = rows[start]
        assert set(HEADED[choice.tables]) <= set(heading)
        unit = {name.split(" [")[0]: place for place, name in enumerate(heading)}
        for number, row in enumerate(rows[start + 1 :]):
            row[unit["seconds"]] = str(60 * (number + 1))
            if row[unit["selector"]]:
                row[unit["temperature"]] = f"{TEMPERATURE.of(WARM):.6g}"
                row[unit["density"]] = f"{DENSITY.of(DENSE):.6g}"
    # Read without any choice: a form that was printed in one unit is read whatever is shown now.
    text = "\n".join(",".join(f'"{cell}"' for cell in row) for row in rows[start:])
    found = [r for r in read_readings_text(text.encode(), "r.csv", system).runs if not r.drain]
    assert len(found) == made.repeats * len(made.runs)
    for run, read in zip([r for r in made.runs for _ in range(made.repeats)], found, strict=True):
        assert read.setting.position == run.setting.position
        assert read.setting.pitch == pytest.approx(run.setting.pitch, rel=1e-3)
        assert read.setting.end_height == pytest.approx(run.setting.end_height, rel=1e-3, abs=1e-9)
        assert read.setting.volume == pytest.approx(made.container, rel=1e-3)
        assert read.container_error == pytest.approx(0.01, rel=1e-3)
        assert (read.density, read.setting.temperature) == pytest.approx((DENSE, WARM), rel=1e-5)
        for tank, there, wanted in zip(
            system.tanks, read.setting.quantities, run.setting.quantities, strict=True
        ):
            if not isinstance(tank.shape, StatedLevel):
                assert there == pytest.approx(wanted, rel=1.1e-3)
                assert there <= wanted * (1.0 + 1e-6)
    marks = [r for r in read_readings_text(text.encode(), "r.csv", system).runs if r.drain]
    assert bool(marks) is (made.drain is not None)

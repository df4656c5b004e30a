"""The empty form of readings is read back whatever the tank is called, and holds no formula."""

import csv
import io
import re
from pathlib import Path

import pytest

from flowsim.files.case.reader import read_case_text
from flowsim.files.readings.reader import read_readings_text
from flowsim.files.readings.template import readings_template
from flowsim.studies.ground_test.plan import plan

FOUR = Path("cases/four-outlets/case.toml").read_text(encoding="utf-8")
TEXT = Path("cases/one-tank/case.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def planned():
    return plan(read_case_text(TEXT, "case.toml"), draws=64)


@pytest.mark.parametrize(
    "name", ["container", "mark", "seconds", "run", "remarks", "=1+1", "@x", "#x", "a [L]", "[L]",
             "tank [mm]", "a,b;c", "-3", "line end"],
)  # fmt: skip
def test_any_name_of_a_tank(planned, name):
    text = TEXT.replace('"centre"', f'"{name}"').replace("centre.rear", f"{name}.rear")
    system = read_case_text(text, "case.toml")
    rows = list(csv.reader(readings_template(system, planned).splitlines()))
    heading = next(row for row in rows if row[0] == "run")
    assert not any(cell.startswith(("=", "@", "+", "#")) for cell in heading)
    for row in rows[rows.index(heading) + 1 :]:
        if row[0].isdigit():
            row[heading.index("seconds")] = "60"
            row[heading.index("temperature [degC]")] = "15"
    lines = [
        ",".join(f'"{cell}"' for cell in row) for row in rows[rows.index(heading) :]
    ]  # fmt: skip
    found = read_readings_text("\n".join(lines).encode(), "readings.csv", system)
    assert len(found.runs) > 0


@pytest.mark.parametrize(
    "position", ["=1+1", "+left", "-off", "@both", "'q", "#1", "[left]", "'=x"]
)
def test_any_name_of_a_selector_position(position):
    name = f'"{position}"'
    text = FOUR.replace("positions = { left =", f"positions = {{ {name} =")
    text = text.replace('judged = ["left"', f"judged = [{name}")
    system = read_case_text(text.replace('title = "', 'title = "a,=1+1;@x '), "case.toml")
    form = readings_template(system, plan(system, draws=64))
    assert not re.search(r"(^|,|;)\"?[=+@]", form, flags=re.M)
    filled = []
    for row in csv.reader(form.splitlines()):
        if row[0].isdigit():
            row[-5:-2] = ["60", "15", "720"]
        filled.append(row)
    out = io.StringIO()
    csv.writer(out).writerows(row for row in filled if not row[0].startswith("#"))
    found = read_readings_text(out.getvalue().encode(), "readings.csv", system)
    assert position in {reading.setting.position for reading in found.runs}

"""Rows of a drain-down: marks of a container, a scale's log, and what is wrong with them."""

from pathlib import Path

import numpy as np
import pytest

from flowsim.errors import InputError
from flowsim.files.case.reader import read_case
from flowsim.files.readings.drain_rows import MOST_STRETCHES
from flowsim.files.readings.reader import read_readings_text
from flowsim.files.readings.table import MOST_MARKS
from flowsim.files.readings.template import readings_template
from flowsim.studies.ground_test.plan import plan
from flowsim.studies.ground_test.runs import MARK_MASS, MARK_VOLUME, MEASURED_DENSITY, PRESS

FOLDER = Path(__file__).parents[4] / "cases" / "four-outlets"
HEAD = (
    "run,attitude [deg],line end [mm],selector,left [L],right [L],container [L],accuracy,mark [L],"
    "seconds,temperature [degC],density [kg/m3],fit,remarks\n"
)
FIRST = "D1,17,0,left,14,6,,0.5 %,1,29,18,713.5,yes,first\n"
NEXT = "D1,,,,,,,,2,58,,,,\n,,,,,,,,3,88,,,,\n"


@pytest.fixture(scope="module")
def system():
    return read_case(FOLDER / "case.toml")


@pytest.fixture(scope="module")
def read(system):
    def call(text, name="readings.csv"):
        return read_readings_text(text.encode(), name, system)

    return call


def wrong(read, text):
    with pytest.raises(InputError) as caught:
        read(text)
    return [str(mistake) for mistake in caught.value.mistakes]


def test_marks_become_stretches(read):
    found = read(HEAD + FIRST + NEXT).runs
    assert [run.name for run in found] == ["D1/1", "D1/2", "D1/3"]
    assert [run.line for run in found] == [2, 3, 4]
    assert [run.seconds for run in found] == pytest.approx([29.0, 29.0, 30.0])
    assert [run.setting.drawn_before for run in found] == pytest.approx([0.0, 1e-3, 2e-3])
    assert [run.setting.volume for run in found] == pytest.approx([1e-3] * 3)
    for run in found:
        assert (run.drain, run.run, run.container) == ("D1", "D1", "drain-down")
        assert run.setting.quantities == pytest.approx((14e-3, 6e-3))
        assert (run.container_error, run.timing) == pytest.approx((0.005, PRESS))
        assert run.mark == MARK_VOLUME
        assert run.density == 713.5


def test_a_scale_s_log_is_tared_and_thinned(read):
    # 27 g a second from 0.35 kg on the scale, a row each second: 0.713 kg/L.
    rows = [f"D1,,,,,,,,{0.35 + 0.027 * second:.3f} kg,{second},,,," for second in range(1, 301)]
    first = "D1,17,0,left,14,6,,0.3 %,0.35 kg,0,18,713.5,yes,\n"
    found = read(HEAD + first + "\n".join(rows) + "\n")
    assert len(found.runs) <= MOST_STRETCHES
    assert sum(run.seconds for run in found.runs) == pytest.approx(300.0)
    assert sum(run.setting.volume for run in found.runs) == pytest.approx(8.1 / 713.5)
    ends = np.cumsum([run.setting.volume for run in found.runs])[:-1]
    assert [run.setting.drawn_before for run in found.runs[1:]] == pytest.approx(ends)
    assert found.runs[0].mark == pytest.approx(MARK_MASS / 713.5)
    assert found.runs[0].volume_error == pytest.approx(np.hypot(0.003, MEASURED_DENSITY))
    assert any("300 marks were read" in words for words in found.remarks)


def test_a_mark_marked_no_is_left_out(read):
    text = HEAD + FIRST + "D1,,,,,,,,2,77,,,no,pressed late\nD1,,,,,,,,3,88,,,,\n"
    found = read(text).runs
    assert [run.setting.volume for run in found] == pytest.approx([1e-3, 2e-3])
    assert [run.seconds for run in found] == pytest.approx([29.0, 59.0])


def test_buckets_and_drain_downs_stand_in_one_file(read):
    bucket = "1,17,0,left,6,6,3,15 mL,,83.4,18,713.5,yes,\n"
    found = read(HEAD + bucket + FIRST + NEXT + bucket.replace("1,", "2,", 1)).runs
    assert [run.name for run in found] == ["1", "D1/1", "D1/2", "D1/3", "2"]
    assert [run.drain for run in found] == ["", "D1", "D1", "D1", ""]


def test_toml_takes_marks_too(read):
    text = """
[[run]]
run = "D1"
attitude = "17 deg"
line_end = "0 mm"
selector = "left"
fuel = { left = "14 L", right = "6 L" }
accuracy = "0.5 %"
mark = "1 L"
mark_accuracy = "20 mL"
time = "29 s"
temperature = "18 degC"
density = "713.5 kg/m3"
[[run]]
run = "D1"
mark = "2 L"
time = "58 s"
"""
    found = read(text, "readings.toml").runs
    assert [run.seconds for run in found] == pytest.approx([29.0, 29.0])
    assert found[0].mark == pytest.approx(2e-5)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (FIRST + "D1,,,,,,,,0.9,58,,,,\n", 3, "do not both rise"),
        (FIRST + "D1,,,,,,,,2,29,,,,\n", 3, "do not both rise"),
        (FIRST + "D1,12,,,,,,,2,58,,,,\n", 3, "differs from the first row's"),
        (FIRST + "D1,,,,9,,,,2,58,,,,\n", 3, "fuel differs"),
        (FIRST + "D1,,,,,,,,x,58,,,,\n", 3, "mark:"),
        (FIRST.replace(",,0.5 %", ",3,0.5 %") + NEXT, 2, "container is given as well"),
        (FIRST.replace("0.5 %", "50 %") + NEXT, 2, "is not plausible"),
        (FIRST.replace("17,", ",", 1) + NEXT, 2, "attitude is missing"),
        (FIRST + "D1,,,,,,,,20,588,,,,\n", 2, "more than the 14.0 L"),
        (FIRST + NEXT + "1,17,0,left,6,6,3,15 mL,,83.4,18,713.5,yes,\n" + FIRST, 6,
         "do not stand together"),
    ],
)  # fmt: skip
def test_every_mistake_has_its_line(read, text, line, words):
    said = wrong(read, HEAD + text)
    assert any(f":{line}:" in one and words in one for one in said), said


def test_a_drain_down_without_times_is_left_out(read):
    bucket = "1,17,0,left,6,6,3,15 mL,,83.4,18,713.5,yes,\n"
    found = read(HEAD + bucket + FIRST.replace("29,18", ",18") + "D1,,,,,,,,2,,,,,\n")
    assert [run.name for run in found.runs] == ["1"]
    assert "drain-down D1 has no time and is left out" in found.remarks


def test_too_many_marks_are_refused(read):
    rows = "\n".join(f"D1,,,,,,,,{n} g,{n},,,," for n in range(1, MOST_MARKS + 2))
    (only,) = wrong(read, HEAD + rows + "\n")
    assert "marks" in only


def test_the_template_s_drain_down_can_be_filled_in(system, read):
    made = plan(system, draws=128)
    lines = readings_template(system, made).splitlines()
    head = next(line for line in lines if line.startswith("run,"))
    mine = [line.split(",") for line in lines if line.startswith("D1,")]
    place = head.split(",").index("seconds")
    assert len(mine) == len(made.drain.drawn)
    for cells, seconds in zip(mine, made.drain.expected, strict=True):
        cells[place] = f"{seconds:.1f}"
    mine[0][place + 1] = "15"
    found = read(head + "\n" + "\n".join(",".join(cells) for cells in mine) + "\n").runs
    assert sum(run.setting.volume for run in found) == pytest.approx(made.drain.drawn[-1], rel=1e-3)

"""Files of readings: spreadsheets of every country, TOML, and what is wrong with them."""

import math
from pathlib import Path

import pytest

from flowsim.errors import InputError
from flowsim.files.case.reader import read_case
from flowsim.files.readings.reader import read_readings, read_readings_text
from flowsim.files.readings.template import readings_template
from flowsim.studies.ground_test.plan import plan
from flowsim.studies.ground_test.runs import DENSITY, MEASURED_DENSITY

FOLDER = Path(__file__).parents[4] / "cases" / "four-outlets"
HEAD = (
    "run,attitude [deg],line end [mm],selector,left [L],right [L],container [L],accuracy [mL],"
    "seconds,temperature [degC],density [kg/m3],fit,remarks\n"
)
ROW = "1,17,0,left,6,6,3,15,80.5,18,713.5,yes,fine\n"


@pytest.fixture(scope="module")
def system():
    return read_case(FOLDER / "case.toml")


@pytest.fixture(scope="module")
def read(system):
    def call(text, name="readings.csv"):
        content = text if isinstance(text, bytes) else text.encode()
        return read_readings_text(content, name, system)

    return call


def wrong(read, text, name="readings.csv"):
    with pytest.raises(InputError) as caught:
        read(text, name)
    return [str(mistake) for mistake in caught.value.mistakes]


def is_the_row(found):
    (run,) = found.runs
    assert run.seconds == 80.5
    assert run.setting.volume == pytest.approx(3e-3)
    assert run.container_error == pytest.approx(0.005)
    assert run.setting.pitch == pytest.approx(math.radians(17))
    assert run.setting.quantities == pytest.approx((6e-3, 6e-3))
    assert run.setting.temperature == pytest.approx(291.15)
    assert run.density == 713.5
    assert run.density_measured
    return run


def test_a_plain_csv_is_read(read):
    run = is_the_row(read(HEAD + ROW))
    assert (run.name, run.line, run.remarks, run.used) == ("1", 2, "fine", True)


@pytest.mark.parametrize(
    "text",
    [
        # A spreadsheet of a country with decimal commas, with a byte order mark and line ends.
        ("\ufeff" + HEAD + ROW).replace(",", ";").replace(".", ",").replace("\n", "\r\n"),
        "sep=;\n" + (HEAD + ROW).replace(",", ";"),
        (HEAD + ROW).replace(",", "\t").replace("80.5", "80,5"),
        HEAD + ROW + ",,,,,,,,,,,,\n",
        "# made by hand\n\n" + HEAD + "\n" + ROW,
        HEAD.strip() + ",,\n" + ROW.strip() + ",,\n",
        HEAD.replace("[", "(").replace("]", ")").upper().replace("LEFT (L)", "fuel left (L)")
            .replace("(DEG)", "(deg)").replace("(MM)", "(mm)").replace("(ML)", "(mL)")
            .replace("(DEGC)", "(degC)").replace("(KG/M3)", "(kg/m3)") + ROW,
        HEAD.replace(" [deg]", "").replace(" [mm]", "").replace("seconds", "time") +
            '1,17 deg,0 in,LEFT,6,6,"3 L",0.5 %,80.5 s,18,713.5,,fine\n',
    ],
)  # fmt: skip
def test_other_spreadsheets_give_the_same(read, text):
    is_the_row(read(text))


def test_sixteen_bit_text_is_read(read):
    is_the_row(read((HEAD + ROW).encode("utf-16")))


def test_toml_gives_the_same(read):
    text = """
[[run]]
run = "1"
attitude = "17 deg"
line_end = "0 mm"
selector = "left"
fuel = { left = "6 L", right = "6 L" }
container = "3 L"
accuracy = "15 mL"
time = "80.5 s"
temperature = "18 degC"
density = "713.5 kg/m3"
remarks = "fine"
"""
    run = is_the_row(read(text, "readings.toml"))
    assert run.line == 2


def test_a_weighed_container_is_turned_into_volume(read):
    run = read(HEAD + ROW.replace("left,6,6,3,15", "left,6,6,2.1405 kg,10 g")).runs[0]
    assert run.setting.volume == pytest.approx(2.1405 / 713.5)
    assert run.container_error == pytest.approx(0.010 / 2.1405)


def test_a_missing_density_is_taken_from_the_fuel_and_said(read):
    found = read(HEAD + ROW.replace("713.5", ""))
    assert not found.runs[0].density_measured
    assert found.runs[0].density == pytest.approx(712.3, abs=1.0)
    (remark,) = found.remarks
    assert "run 1 (line 2): the density is missing" in remark
    assert "Measure it" in remark


def test_a_missing_accuracy_is_said(read):
    found = read(HEAD + ROW.replace(",15,", ",,"))
    assert found.runs[0].container_error == 0.01
    assert "accuracy is missing" in found.remarks[0]


def test_a_run_without_time_is_left_out_and_said(read):
    found = read(HEAD + ROW + ROW.replace("1,17", "2,17").replace("80.5", ""))
    assert [run.name for run in found.runs] == ["1"]
    assert found.remarks == ("run 2 (line 3) has no time and is left out",)


def test_a_run_may_be_kept_out_of_the_fit(read):
    assert not read(HEAD + ROW.replace(",yes,", ",no,")).runs[0].used


MISTAKES = [
    (("80.5", "0"), "seconds: ", "plausible"),
    (("80.5", "-3"), "seconds: ", "plausible"),
    (("80.5", "fast"), "seconds: ", "not a number"),
    ((",3,15,", ",13,15,"), "were drawn, more than the 6.00 L", "left"),
    ((",3,15,", ",0,15,"), "container is zero", "write"),
    ((",3,15,", ",,15,"), "container is missing", "write"),
    ((",3,15,", ",3 gal,15,"), "US or imperial", "US_gal"),
    ((",3,15,", ",3,1500,"), "accuracy", "is not plausible"),
    ((",left,", ",port,"), '"port" is not a selector position', 'write one of "left"'),
    ((",left,", ",off,"), "no fuel can flow", "closed"),
    ((",6,6,", ",600,6,"), "more than it holds", "87.7 L"),
    ((",6,6,", ",,6,"), 'fuel in "left" is missing', "write"),
    ((",18,", ",,"), "temperature is missing", "write"),
    ((",18,", ",180,"), "", "degC"),
    (("713.5", "0.7135"), "density", "plausible"),
    (("713.5", "998"), "density", "check the unit and the liquid"),
    (("1,17,0,", "1,17,,"), "line end is missing", "write 0 mm"),
    (("1,17,", "1,,"), "attitude is missing", "deg"),
    ((",yes,", ",perhaps,"), "not a yes or no", "write yes or no"),
]


@pytest.mark.parametrize(("change", "problem", "remedy"), MISTAKES)
def test_each_mistake_is_one_line_with_its_place(read, change, problem, remedy):
    found = wrong(read, HEAD + ROW.replace(*change))
    assert len(found) == 1, found
    assert found[0].startswith("readings.csv:2: run 1: ")
    assert problem in found[0]
    assert remedy in found[0]


def test_all_mistakes_come_in_one_run(read):
    text = HEAD + ROW.replace("80.5", "0") + ROW.replace("left", "port") + ROW.replace(",18,", ",,")
    assert [line.split(":")[1] for line in wrong(read, text)] == ["2", "3", "4"]


def test_a_decimal_comma_among_commas_is_read_where_it_has_one_meaning(read):
    is_the_row(read(HEAD + ROW.replace("80.5", '"80,5"')))
    (found,) = wrong(read, HEAD + ROW.replace("713.5", '"1,713"'))
    assert 'may be 1.713 or 1713; write "1.713 kg/m3" or "1713 kg/m3"' in found


def test_minutes_and_seconds_are_a_time(read):
    is_the_row(read(HEAD + ROW.replace("80.5", "1:20.5")))
    is_the_row(read(HEAD.replace("seconds", "time") + ROW.replace("80.5", "1 min 20.5 s")))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "has no heading"),
        ("\n\n", "has no heading"),
        (HEAD, "has no run with a time"),
        (HEAD.replace("seconds", "secs") + ROW, 'unknown heading "secs"'),
        (HEAD.replace("right [L]", "left [L]") + ROW, 'two headings "left"'),
        (HEAD + ROW.strip() + ",,,beyond\n", "beyond the last heading"),
        (HEAD + ROW * 501, "more than 500 runs"),
        (b"\xff\xfa\x00\x01", "not text in UTF-8"),
        ('"unclosed' + "x" * 200_000, ""),
    ],
)
def test_files_that_are_no_readings(read, text, words):
    assert any(words in line for line in wrong(read, text))


def test_toml_mistakes_have_their_lines(read):
    text = '[[run]]\nrun = "a"\nspeed = "3 kt"\nfuel = { middle = "1 L" }\n'
    found = wrong(read, text, "r.toml")
    assert found[0].startswith("r.toml:3: ")
    assert "unknown key" in found[0]
    assert "unknown tank" in found[1]


def test_a_missing_file_is_one_line(system, tmp_path):
    with pytest.raises(InputError, match="no such file"):
        read_readings(tmp_path / "none.csv", system)


def test_the_template_reads_once_it_is_filled_in(system, read):
    made = plan(system, draws=128)
    text = readings_template(system, made)
    assert "no run with a time" in wrong(read, text)[0]
    lines = text.splitlines()
    filled = [
        line.replace(",,,,,yes,", ",,80.5,18,713.5,yes,") if line[:1].isdigit() else line
        for line in lines
    ]
    found = read("\n".join(filled))
    assert len(found.runs) == 3 * len(made.runs)
    assert found.runs[0].setting.position == made.runs[0].setting.position


def test_the_bundled_readings_say_that_they_are_invented(system):
    text = (FOLDER / "readings.csv").read_text(encoding="utf-8")
    assert "nvented" in text
    assert len(read_readings(FOLDER / "readings.csv", system).runs) == 15


def test_one_jug_is_one_error_however_it_is_written(read):
    """Three names of one container would average its error away, and narrow the correction."""
    rows = "".join(
        ROW.replace("1,17", f"{n},17").replace(",3,15,", f",{size},0.5 %,")
        for n, size in enumerate(("3", "3.0", "3 L", "2.98 L", "6", "4"), start=1)
    )
    names = [run.container for run in read(HEAD + rows).runs]
    assert len(set(names[:4])) == 1
    assert len(set(names)) == 3


@pytest.mark.parametrize(("density", "error"), [("713.5", MEASURED_DENSITY), ("", DENSITY)])
def test_weighed_runs_share_the_scale_and_the_density(read, density, error):
    """A mass becomes a volume by the density; the mass flow itself has no need of it."""
    rows = "".join(
        ROW.replace("1,17", f"{n},17")
        .replace(",3,15,", f",{mass} kg,0.3 %,")
        .replace(",713.5,", f",{density},")
        for n, mass in enumerate(("2.14", "2.15"), start=1)
    )
    one, other = read(HEAD + rows).runs
    assert one.container == other.container
    assert one.volume_error == pytest.approx(math.hypot(0.003, error))
    assert one.relative_error == pytest.approx(math.hypot(0.003, one.timing / one.seconds))

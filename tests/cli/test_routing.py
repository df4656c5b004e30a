"""``flowsim routing``: streams, exit codes, JSON, drawings, bad input."""

import json
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest

from tests.support.routing_case import case_text, line

ROOT = Path(__file__).parents[2]
HUMPS = ROOT / "cases" / "humps" / "case.toml"
HELD = "[line.installation]\nsupports_along = [{}]\n"


def write(tmp_path: Path, *sections: str, **options) -> Path:
    path = tmp_path / "case.toml"
    path.write_text(case_text(*sections, **options), encoding="utf-8")
    return path


def good(tmp_path: Path) -> Path:
    along = ", ".join(f'"{number * 400} mm"' for number in range(1, 8))
    text = line("feed", "tank.out", "engine", [(1.0, 0.1, 0.8)], more=HELD.format(along))
    return write(tmp_path, text)


def test_bundled_case_says_what_its_readme_says(run):
    said = run("routing", HUMPS)
    assert said.code == 1
    assert said.err == ""
    assert "Fix (2)" in said.out
    assert "seat back drain" in said.out
    assert "will not clear" in said.out
    assert "an estimate, not an approval" in said.out
    assert "\x1b" not in said.out
    assert max(len(row) for row in said.out.splitlines()) <= 80


def test_json_has_one_dip_one_hump_that_clears_and_one_that_does_not(run):
    said = run("routing", HUMPS, "--json")
    assert (said.code, said.err) == (1, "")
    made = json.loads(said.out)
    assert made["schema"] == "flowsim.routing/1"
    assert made["exit_code"] == 1
    undrained = {point["place"]["line"] for point in made["low_points"] if not point["drained"]}
    assert undrained == {"thin line"}
    climb = {
        point["place"]["line"]: point["state"]
        for point in made["high_points"]
        if point["attitude"] == "climb+5"
    }
    assert climb == {"thin line": "clears", "wide line": "will not clear"}
    assert len(made["cut_list"]) == 3
    assert made["cautions"][0].startswith("This is an estimate")


def test_nothing_found_ends_with_zero(run, tmp_path):
    said = run("routing", good(tmp_path))
    assert said.code == 0, said.out
    assert "Fix (" not in said.out


def test_missing_ground_attitude_is_not_known(run, tmp_path):
    along = ", ".join(f'"{number * 400} mm"' for number in range(1, 8))
    text = line("feed", "tank.out", "engine", [(1.0, 0.1, 0.8)], more=HELD.format(along))
    said = run("routing", write(tmp_path, text, ground=""))
    assert said.code == 3
    assert "Undetermined (1)" in said.out


def test_one_attitude(run):
    said = run("routing", HUMPS, "--attitude", "climb + 5")
    low = said.out.split("Low points")[1].split("High points")[0]
    assert "climb+5" in low
    assert "level" not in low


def test_unknown_attitude_is_wrong_usage(run, tmp_path):
    said = run("routing", good(tmp_path), "--attitude", "upside down")
    assert said.code == 2
    assert said.out == ""
    assert "level" in said.err


def test_drawings_are_well_formed_and_name_their_axes(run, tmp_path):
    folder = tmp_path / "drawings"
    said = run("routing", HUMPS, "--drawings", folder, "--units", "us")
    assert said.code == 1
    axes = {
        "side": ("station", "waterline"),
        "top": ("station", "buttline"),
        "front": ("buttline", "waterline"),
        "profile": ("length along", "height in level attitude"),
    }
    for name, words in axes.items():
        root = ElementTree.fromstring((folder / f"{name}.svg").read_text(encoding="utf-8"))
        texts = [element.text or "" for element in root.iter() if element.tag.endswith("text")]
        for word in words:
            assert any(text.startswith(word) and text.endswith(", in") for text in texts)
        assert any("not an approval" in text for text in texts)
        colours = {
            value.strip('"')
            for element in root.iter()
            for key, value in element.attrib.items()
            if key in ("fill", "stroke")
        }
        for colour in colours - {"none", "white"}:
            red, green, blue = colour[1:3], colour[3:5], colour[5:7]
            assert red == green == blue, "works in grey"


def test_drawings_where_nothing_can_be_written(run, tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("x", encoding="utf-8")
    said = run("routing", HUMPS, "--drawings", blocked)
    assert said.code == 5
    assert said.err.count("\n") == 1


def test_course_unknown_can_still_be_drawn(run, tmp_path):
    text = (
        '[[line]]\nname = "feed"\nfrom = "tank.out"\nto = "engine"\nlength = "3 m"\n'
        'tube = "3/8 in x 0.035 in"\nmaterial = "aluminium tube"\n'
    )
    said = run("routing", write(tmp_path, text), "--drawings", tmp_path / "d")
    assert said.code == 3
    assert "course not known" in (tmp_path / "d" / "side.svg").read_text(encoding="utf-8")


FALLING = [(1.0, 0.1, 0.8)]


@pytest.mark.parametrize(
    ("sections", "words"),
    [
        ((line("feed", "tank.out", "engine", [(1, 0, 1), (1, 0, 1.00005)]),),
         "are the same place"),
        ((line("feed", "tank.out", "engine", [(1, 0, 1), (1.9, 0, 1.9), (1.9, 0, 0.9)]),),
         "doubles back"),
        ((line("feed", "tank.out", "engine", [(1, 0, 1), (1, 0.05, 1)], bend="90 mm"),),
         "too short for its bends of radius 90 mm"),
        ((line("feed", "tank.out", "engine", FALLING,
               more='[line.installation]\nsupports_along = ["9 m"]\n'),), "beyond the line's end"),
        ((line("feed", "tank.out", "engine", FALLING,
               more='[line.installation]\nsag = "9 mm"\n'),), "go together"),
        ((line("feed", "tank.out", "engine", FALLING,
               more='[line.installation]\nsag = "90 mm"\nsag_span = "0.4 m"\n'),), "a tenth"),
        ((line("feed", "tank.out", "engine", FALLING),
          '[[obstacle]]\nname = "o"\nkind = "fire"\npoints = [["1 m", "0 m", "0 m"]]\n'),
         "not known here"),
        ((line("feed", "tank.out", "engine", FALLING),
          '[[obstacle]]\nname = "o"\nkind = "wire"\npoints = []\n'), "no point is given"),
        ((line("feed", "tank.out", "engine", FALLING),
          '[[crossing]]\nname = "c"\nline = "fed"\nkind = "rib"\nat = ["1 m", "0 m", "0 m"]\n'),
         'did you mean "feed"'),
        ((line("feed", "tank.out", "engine", FALLING),
          '[[vent_line]]\nname = "v"\ntank = "tank"\nbore = "6 mm"\n'
          'points = [["1 m", "0 m", "2 m"], ["1 m", "0 m", "2 m"]]\n'), "coincide"),
        ((line("feed", "tank.out", "engine", FALLING), '[routing]\nbank = "80 deg"\n'),
         "more than 75 deg"),
        ((line("feed", "tank.out", "engine", FALLING), '[routing]\nwanted = "1 deg"\n'),
         "unknown key"),
    ],
)  # fmt: skip
def test_bad_input_is_one_clear_line_each(run, tmp_path, sections, words):
    said = run("routing", write(tmp_path, *sections))
    assert said.code == 4
    assert said.out == ""
    assert words in said.err
    assert said.err.count("\n") == 1
    assert "Traceback" not in said.err

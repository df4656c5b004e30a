"""Tables brought onto a case that is there already: what says the same stays, remarks too."""

import copy
import random
from pathlib import Path

import pytest

from flowsim.errors import OutputError
from flowsim.files.case.reader import read_draft
from flowsim.files.tables.onto import brought_to
from flowsim.files.tables.reader import read_table_bytes, table_bytes
from flowsim.files.toml.edits import read
from flowsim.files.toml.values import same

CASES = sorted((Path(__file__).parents[4] / "cases").glob("*/case.toml"))


def remarks(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip().startswith("#")]


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.parent.name)
def test_the_same_tables_change_nothing(path):
    text = path.read_text(encoding="utf-8")
    data = read_draft(text, "case.toml").data
    made = read_table_bytes(table_bytes(data, ".xlsx"), "mine.xlsx").data
    assert brought_to(text, made, "case.toml") == (text, [])


def test_only_what_differs_is_changed_and_told():
    text = CASES[-1].read_text(encoding="utf-8")
    data = read(text)
    data["line"][0]["via"][1][2] = "42.5 in"
    data["engine"]["burn"] = {"value": "5.6 US_gal/h", "from": "handbook"}
    del data["tank"][0]["capacity"]
    data["junction"].append({"name": "new", "at": ["1 in", "2 in", "3 in"]})
    data["tank"][0]["outlet"][0]["parts"].append({"part": "elbow 45"})
    data["line"].insert(1, data["line"].pop(4))
    made, said = brought_to(text, data, "case.toml")
    assert same(read(made), data)
    assert remarks(made) == remarks(text)
    assert "# sections: bottom front, bottom rear, top rear, top front" in made
    assert sorted(said) == [
        'engine.burn: "5.4 US_gal/h" became { value = "5.6 US_gal/h", from = "handbook" }',
        "junction.new: is new",
        "line.left forward: is now number 2",
        'line.left front.via.2.3: "43 in" became "42.5 in"',
        'tank.left.capacity: "82 L" is gone',
        "tank.left.outlet.front.parts.3: is new",
    ]
    lines, before = made.splitlines(), text.splitlines()
    assert len(set(before) - set(lines)) <= 6


@pytest.mark.parametrize("seed", range(12))
def test_random_changes_are_made_whole(seed):
    generator = random.Random(seed)
    text = generator.choice(CASES).read_text(encoding="utf-8")
    data = copy.deepcopy(read(text))
    for _ in range(5):
        kind = generator.choice([key for key in ("line", "tank", "tee", "drain") if data.get(key)])
        rows = data[kind]
        row = generator.choice(rows)
        what = generator.randrange(5)
        if what == 0 and len(rows) > 1:
            rows.remove(row)
        elif what == 1:
            rows.insert(generator.randrange(len(rows) + 1), {**row, "name": f"new {seed} {_}"})
        elif what == 2:
            generator.shuffle(rows)
        elif what == 3:
            row["name"] = f"renamed {_}"
        else:
            key = generator.choice(list(row))
            row[key] = generator.choice(["other", ["a", "b"], {"value": "1 in"}])
    made, said = brought_to(text, data, "case.toml")
    assert same(read(made), data)
    assert bool(said) == (not same(read(text), data))


def test_a_file_that_is_no_toml_is_left_as_it_is():
    with pytest.raises(OutputError, match="write the case into a new file with --out"):
        brought_to('title = "x\n', {"title": "y"}, "case.toml")

"""Names: whatever refers to a thing goes with it."""

import random
import tomllib

import pytest

from flowsim.files.case.reader import read_case_text, read_draft
from flowsim.files.case.references import references, referring_to, renamed, sort_of
from flowsim.files.case.sides import names_side
from flowsim.files.toml.edits import edited
from flowsim.files.toml.sheet import EditError
from flowsim.files.toml.values import at
from tests.support.random_edits import paths, texts

ALL = """
what_if = ["tank-empty=left", "bowl=2.5", "hot-fuel=45 degC"]
[[tank]]
name = "left"
[[tank.outlet]]
name = "rear"
[[line]]
name = "down"
from = "left.rear"
to = "tee"
parts = [{ part = "elbow 90", name = "bowl" }]
[[tee]]
name = "tee"
run = ["down", "feed"]
branch = "other"
common = "feed"
[[selector]]
name = "one"
ports = { left = "down", right = "feed" }
outlet = "feed"
positions = { left = ["left"], both = ["left", "right"] }
judged = ["left", "both"]
[[selector]]
name = "two"
positions = { left = [] }
[[drain]]
name = "d"
reaches = "left"
[[drain]]
name = "e"
reaches = "down"
[[crossing]]
line = "down"
[[vent_line]]
tank = "left"
[[start]]
tank = "left"
[[phase]]
selector = "left + left"
"""

WANTED = {
    ("tank", 0, "name"): [
        ("line", 0, "from"), ("drain", 0, "reaches"), ("vent_line", 0, "tank"),
        ("start", 0, "tank"), ("what_if", 0),
    ],
    ("tank", 0, "outlet", 0, "name"): [("line", 0, "from")],
    ("line", 0, "name"): [
        ("tee", 0, "run", 0), ("selector", 0, "ports", "left"), ("drain", 1, "reaches"),
        ("crossing", 0, "line"),
    ],
    ("tee", 0, "name"): [("line", 0, "to")],
    ("selector", 0, "ports", "left"): [
        ("selector", 0, "positions", "left", 0), ("selector", 0, "positions", "both", 0),
    ],
    ("selector", 0, "positions", "left"): [("selector", 0, "judged", 0), ("phase", 0, "selector")],
    ("selector", 1, "positions", "left"): [("phase", 0, "selector")],
    ("line", 0, "parts", 0, "name"): [("what_if", 1)],
    ("drain", 0, "name"): [],
}  # fmt: skip


@pytest.mark.parametrize("path", WANTED)
def test_every_reference_is_found(path) -> None:
    assert [ref.path for ref in references(tomllib.loads(ALL), path, "new")] == WANTED[path]


def test_several_selectors_are_told_apart_in_a_phase() -> None:
    text = edited(ALL, renamed(tomllib.loads(ALL), ("selector", 1, "positions", "left"), "aft"))
    assert tomllib.loads(text)["phase"][0]["selector"] == "left + aft"
    with pytest.raises(EditError, match="already"):
        renamed(tomllib.loads(ALL), ("selector", 0, "positions", "left"), "both")


@pytest.mark.parametrize("case", texts())
def test_a_renamed_case_is_the_same_case(case: str) -> None:
    """Whatever is renamed: it reads without mistakes, and nothing else has changed."""
    generator = random.Random(3)
    text = texts()[case]
    data = tomllib.loads(text)
    found = [path for path in paths(data) if sort_of(path)]
    assert read_draft(text, "x").mistakes == ()
    for number, path in enumerate(generator.sample(found, min(12, len(found)))):
        old = at(tomllib.loads(text), path) if path[-1] == "name" else ""
        side = "left " if names_side(old, "left") and "mirror" in text else ""
        text = edited(text, renamed(tomllib.loads(text), path, f"{side}thing {number}"))
        found = [p for p in paths(tomllib.loads(text)) if sort_of(p)]
        system = read_case_text(text, "x")
        assert system.tanks
        if path[-1] == "name":
            assert at(tomllib.loads(text), path) == f"{side}thing {number}"


def test_what_refers_to_a_thing_is_listed_before_it_is_taken_out() -> None:
    data = tomllib.loads(ALL)
    found = [ref.path for ref in referring_to(data, ("tank", 0))]
    assert found == WANTED["tank", 0, "name"]
    assert [ref.path for ref in referring_to(data, ("line", 0))] == WANTED["line", 0, "name"]
    assert referring_to(data, ("drain", 0)) == ()


MIRRORED = """
defaults = { mirror = "left", stock = "soft" }
[[stock]]
name = "soft"
[[tank]]
name = "left"
[[tank.outlet]]
name = "front"
parts = [{ part = "elbow 90", name = "bend" }]
[[tank.outlet]]
name = "rear"
mirror = "left.front"
[[line]]
name = "left down"
from = "left.front"
to = "left drain"
corners = [{ point = 1, fitting = "bend" }]
[[line]]
name = "left spare"
mirror = "left down"
stock = "soft"
[[line]]
name = "odd"
from = "right.front"
to = "right drain"
[[drain]]
name = "left drain"
[[selector]]
name = "one"
ports = { left = "left down", right = "right down" }
"""


@pytest.mark.parametrize(
    ("path", "new", "found"),
    [
        (("tank", 0, "name"), "left wing", {
            ("line", 0, "from"): "left wing.front", ("line", 2, "from"): "right wing.front",
            ("tank", 0, "outlet", 1, "mirror"): "left wing.front",
        }),
        (("tank", 0, "outlet", 0, "name"), "nose", {
            ("line", 0, "from"): "left.nose", ("line", 2, "from"): "right.nose",
            ("tank", 0, "outlet", 1, "mirror"): "left.nose",
        }),
        (("line", 0, "name"), "left fall", {
            ("selector", 0, "ports", "left"): "left fall", ("line", 1, "mirror"): "left fall",
            ("selector", 0, "ports", "right"): "right fall",
        }),
        (("drain", 0, "name"), "left tap", {
            ("line", 0, "to"): "left tap", ("line", 2, "to"): "right tap",
        }),
        (("stock", 0, "name"), "nylon", {
            ("defaults", "stock"): "nylon", ("line", 1, "stock"): "nylon",
        }),
        (("tank", 0, "outlet", 0, "parts", 0, "name"), "knee", {
            ("line", 0, "corners", 0, "fitting"): "knee",
        }),
    ],
)  # fmt: skip
def test_what_names_a_mirror_goes_with_its_original(path, new, found) -> None:
    refs = references(tomllib.loads(MIRRORED), path, new)
    assert {ref.path: ref.renamed for ref in refs} == found


def test_a_mirrored_thing_keeps_its_side_in_its_name() -> None:
    with pytest.raises(EditError, match='its mirror is called "right down"; keep its side'):
        renamed(tomllib.loads(MIRRORED), ("line", 0, "name"), "right post")
    with pytest.raises(EditError, match="keep its side"):
        renamed(tomllib.loads(MIRRORED), ("line", 0, "name"), "down")

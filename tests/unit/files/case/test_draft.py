"""An unfinished case is read as far as it goes, and each mistake knows its place."""

import random
import re
import tomllib

import pytest

from flowsim.errors import InputError
from flowsim.files.case.draft import Draft
from flowsim.files.case.reader import read_case_text, read_draft
from flowsim.files.case.starter import starter_text
from flowsim.files.toml.edits import edited, read
from flowsim.files.toml.sheet import EditError
from flowsim.files.toml.values import at
from tests.support.random_edits import random_edit, texts


def mistakes(text: str) -> list[str]:
    try:
        read_case_text(text, "case.toml")
    except InputError as error:
        return [str(mistake) for mistake in error.mistakes]
    return []


@pytest.mark.parametrize("name", texts())
def test_a_sound_case_is_the_same_system(name: str) -> None:
    text = texts()[name]
    draft = read_draft(text, "case.toml")
    assert draft.system == read_case_text(text, "case.toml")
    assert draft.data == tomllib.loads(text)
    assert draft.mistakes == ()
    assert all(tank is not None for tank in draft.tanks)
    assert set(draft.places) >= set(draft.system.places())
    for entry in draft.provenance:
        assert entry.path
        if entry.origin == "assumed":
            assert at(draft.data, entry.path) is not None


def test_an_unfinished_case_keeps_what_is_there() -> None:
    text = starter_text("x").replace(
        'at = ["48 in", "-4 in", "22 in"]', 'at = ["48 in", "", "22 in"]'
    )
    text = re.sub(r'unusable = "[^"]+"\n', "", text, count=1).replace(
        'burn = "5.6 US_gal/h"', "burn = 5.6"
    )
    draft = read_draft(text, "case.toml")
    assert draft.system is None
    assert [m.path for m in draft.mistakes] == [
        ("engine", "burn"), ("tank", 0, "unusable"), ("junction", 0, "at", 1),
    ]  # fmt: skip
    assert "wing.rear" in draft.places
    assert draft.model is not None
    assert draft.model.line[0].via is not None


def test_what_is_no_toml_has_only_its_mistake() -> None:
    draft = read_draft("title\n", "case.toml")
    assert draft == Draft(name="case.toml", text="title\n", mistakes=draft.mistakes)
    assert [m.line for m in draft.mistakes] == [1]


def test_missing_quotes_are_known() -> None:
    draft = read_draft(starter_text("x").replace('"5.6 US_gal/h"', "5.6 US_gal/h"), "case.toml")
    assert draft.has_slips
    assert [m.path for m in draft.mistakes] == [("engine", "burn")]


def test_cautions_know_their_place() -> None:
    text = starter_text("x").replace('capacity = "45 L"', 'capacity = "60 L"')
    draft = read_draft(text, "case.toml")
    assert [remark.text for remark in draft.remarks] == list(draft.system.cautions)
    assert {remark.path[:2] for remark in draft.remarks} == {("tank", 0)}


def test_any_edited_case_reads_the_same_as_data_and_as_words() -> None:
    """Draft and command tell the same mistakes, whatever was done to the file."""
    generator = random.Random(11)
    every = texts()
    for _ in range(120):
        text = every[generator.choice(sorted(every))]
        for _ in range(generator.randint(1, 4)):
            try:
                text = edited(text, [random_edit(generator, read(text))])
            except EditError:
                continue
        draft = read_draft(text, "case.toml")
        assert [str(mistake) for mistake in draft.mistakes] == mistakes(text)
        assert (draft.system is None) == bool(draft.mistakes)
        for mistake in draft.mistakes:
            assert isinstance(mistake.path, tuple)

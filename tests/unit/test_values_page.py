"""The page of values is current and whole: no number of physics without an entry and a tag."""

import ast

import pytest

from flowsim.physics.losses.fitting_catalogue import CATALOGUE
from flowsim.system.tags import OWN, Tag
from tests.support import constants_in_code
from tests.support.constants_in_code import Entry, entries
from tests.support.not_physics import NOT_PHYSICS, REASONS
from tests.support.values_page import PAGE, listed, page

REMEDY = (
    "write after it, in its docstring, where it is from and `Tag: published` (or estimate, common "
    "practice, from memory), or put it on the list in tests/support/not_physics.py with the "
    "reason; then run python -m tests.support.values_page"
)


def test_the_page_is_current():
    # To renew it: python -m tests.support.values_page
    assert PAGE.read_text(encoding="utf-8") == page()


def test_no_number_of_physics_is_without_an_entry():
    bare = [f"{entry.key} (line {entry.line})" for entry in listed() if entry.tag is None]
    assert not bare, f"{', '.join(bare)}: {REMEDY}"


def test_the_list_of_what_is_no_physics_names_what_is_there_and_nothing_twice():
    known = {entry.key for entry in entries()}
    assert not sorted(set(REASONS) - known)
    assert len(REASONS) == sum(len(keys) for keys in NOT_PHYSICS.values())


def test_what_has_a_source_is_not_hidden_on_that_list():
    hidden = [
        entry.key
        for entry in entries()
        if entry.kind == "constant" and entry.tag is not None and entry.key in REASONS
    ]
    assert not hidden


@pytest.mark.parametrize(
    "name",
    [
        "VAPOUR_DOUBT",
        "SURFACE_TENSION",
        "DIRTY_SCREEN",
        "FRICTION_BAND",
        "SEAT_DISCHARGE_COEFFICIENT",
        "critical_dip",
        "TEST_MARGIN",
        "USUAL_CONSUMPTION",
        "USUAL_HEIGHT_ACCURACY",
        "CLEAR_FRACTION",
        "HEAT_PICKUP",
        "GRAVITY_FEED_FACTOR",
    ],
)
def test_what_decides_most_stands_on_the_page(name):
    assert f"`{name}`" in PAGE.read_text(encoding="utf-8")


def test_every_fitting_stands_on_the_page_with_its_tag_and_ends():
    text = PAGE.read_text(encoding="utf-8")
    for kind in CATALOGUE.values():
        assert kind.tag in OWN
        (row,) = (line for line in text.splitlines() if line.startswith(f"| {kind.name} |"))
        assert f"| {kind.tag} |" in row
    assert "| selector | 5.5 | 2.5 to 16 |" in text


class TestReading:
    """What the reader of the code finds: that the gate can fail."""

    def found(self, text: str, module: str = "physics/made_up") -> list[Entry]:
        return list(constants_in_code._entries(module, ast.parse(text), text.splitlines()))

    def test_a_constant_without_words_has_no_tag(self):
        (entry,) = self.found("STIFFNESS = 3.7\n")
        assert (entry.key, entry.tag) == ("physics/made_up:STIFFNESS", None)

    def test_a_text_with_a_unit_is_a_number_too(self):
        assert len(self.found('USUAL = "0.55 lb/hp/h"\n')) == 1
        assert self.found('NAME = "left tank"\n') == []

    @pytest.mark.parametrize(
        ("words", "tag"),
        [
            ("[-] Read somewhere. Tag: published.", Tag.PUBLISHED),
            ("[-] A band of thirds. Tag: estimate.", Tag.ESTIMATE),
            ("[-] So (common practice, no source).", Tag.COMMON_PRACTICE),
            ("[-] A book (from memory).", Tag.FROM_MEMORY),
            ("[-] The book of the trade.", None),
        ],
    )
    def test_the_docstring_says_where_it_is_from(self, words, tag):
        (entry,) = self.found(f'VALUE = 3.7\n"""{words}"""\n')
        assert entry.tag is tag

    def test_a_comment_above_or_beside_counts(self):
        (above,) = self.found("# So it is (from memory).\nVALUE = 3.7\n")
        (beside,) = self.found("VALUE = 3.7  # so it is (estimate)\n")
        assert (above.tag, beside.tag) == (Tag.FROM_MEMORY, Tag.ESTIMATE)

    def test_a_law_with_a_coefficient_of_its_own_needs_a_source(self):
        (law,) = self.found('def law(x):\n    """Give it."""\n    return 0.69 * x**0.2\n')
        assert (law.kind, law.tag) == ("law", None)
        assert self.found('def law(x):\n    """Give it."""\n    return 2.0 * x / 100.0\n') == []

    def test_the_default_of_a_part_is_found(self):
        text = "class Tank:\n    fill: float = 0.9\n    name: str = ''\n"
        assert [entry.name for entry in self.found(text, "system/made_up")] == ["Tank.fill"]

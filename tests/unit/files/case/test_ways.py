"""Ways from an outlet to the engine: counted by hand, and refused where loops multiply them."""

from collections import defaultdict

import pytest

from flowsim.errors import InputError
from flowsim.files.case.reader import read_case_text
from flowsim.files.case.ways import steps_to_engine
from flowsim.files.units.plausible import MOST_STEPS
from tests.support.random_edits import texts

LINE = 'bore = "8 mm"\nmaterial = "aluminium tube"\nstraight = true\n'


def around_of(*pairs):
    around = defaultdict(list)
    for start, end in pairs:
        around[start].append(end)
        around[end].append(start)
    return around


@pytest.mark.parametrize(
    ("pairs", "steps"),
    [
        # One line after the other; a dead end is gone into once; a loop of two, twice.
        ((("o", "a"), ("a", "engine")), 2),
        ((("o", "a"), ("a", "engine"), ("a", "b")), 3),
        ((("o", "a"), ("a", "b"), ("a", "b"), ("b", "engine")), 5),
        # Not through another outlet, nor through the engine.
        ((("o", "a"), ("a", "p"), ("p", "b"), ("b", "engine"), ("a", "engine")), 2),
    ],
)
def test_steps(pairs, steps):
    assert steps_to_engine(around_of(*pairs), "o", {"o", "p"}) == steps


def in_a_row(loops):
    """The case of one tank, its first line followed by so many pairs of lines side by side."""
    text = texts()["one-tank"].replace('to = "floor"', 'to = "j0"', 1)
    made = [text]
    for number in range(loops):
        end = "floor" if number == loops - 1 else f"j{number + 1}"
        made.append(
            f'[[junction]]\nname = "j{number}"\nat = ["1540 mm", "60 mm", "{500 - number} mm"]'
        )
        made += [
            f'[[line]]\nname = "{name}{number}"\nfrom = "j{number}"\nto = "{end}"\n{LINE}'
            for name in "ab"
        ]  # fmt: skip
    return "\n".join(made)


def test_loops_in_a_row_are_refused_where_they_are_too_many_to_go():
    read_case_text(in_a_row(3), "case.toml")
    with pytest.raises(InputError) as said:
        read_case_text(in_a_row(11), "case.toml")
    (mistake,) = said.value.mistakes
    assert mistake.line == 1 + in_a_row(11).splitlines().index('name = "down"') - 1
    assert 'too many ways from "centre.rear" to the engine' in mistake.problem
    assert f"more than {MOST_STEPS} steps" in mistake.problem
    assert "write lines side by side as one" in mistake.remedy

"""The calibrated case: the case's own text, and what the test taught below it."""

import re
import tomllib
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from flowsim.errors import DomainError, InputError
from flowsim.files.case.calibrated import calibrated_text, check_written
from flowsim.files.case.calibration import MARK
from flowsim.files.case.reader import read_case, read_case_text
from flowsim.files.case.references import renamed, sort_of
from flowsim.files.readings.reader import read_readings
from flowsim.files.toml.edits import edited
from flowsim.network.assembly import assemble
from flowsim.studies.adequacy.study import judge
from flowsim.studies.ground_test.learn import learn
from flowsim.studies.sampling.draws import draw
from tests.support.random_edits import paths

FOLDER = Path(__file__).parents[4] / "cases" / "four-outlets"


@pytest.fixture(scope="module")
def text():
    return (FOLDER / "case.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def fitted():
    system = read_case(FOLDER / "case.toml")
    return learn(
        system, read_readings(FOLDER / "readings.csv", system).runs, source="readings", draws=128
    )


@pytest.fixture(scope="module")
def made(text, fitted):
    return calibrated_text(text, fitted, today=date(2026, 1, 2))


def test_the_case_s_own_text_stays_comments_and_all(text, made):
    assert made.startswith(text.rstrip())
    assert "# Wing tanks: sections at the root rib" in made
    assert 'source = "readings, fitted 2026-01-02"' in made
    assert 'from = "measured"' in made


def test_it_reads_as_the_corrected_system(made, fitted):
    check_written(made, fitted, "c.toml")
    system = read_case_text(made, "c.toml")
    again = judge(system, draws=128)
    for line, wanted in zip(again.lines, fitted.after.lines, strict=True):
        assert line.least_nominal == pytest.approx(wanted.least_nominal, rel=1e-9)
        assert line.least_median == pytest.approx(wanted.least_median, rel=1e-9)
        assert line.least_low == pytest.approx(wanted.least_low, rel=1e-9)


def test_its_draws_have_the_medians_and_bands_of_the_fit(made, fitted):
    assembly = assemble(read_case_text(made, "c.toml"))
    draws = draw(assembly, 2048, 1)
    item = next(item for item in fitted.inputs if item.key == "sediment bowl loss")
    common = next(item for item in fitted.inputs if item.key == "fittings")
    index = next(
        i for i, placed in enumerate(assembly.network.placed) if placed.key == "feed: bowl #3"
    )
    bowl = draws.factors.loss[:, index]
    # The loss carries its own factor times the one common to all fittings: compare on logarithms.
    assert np.log(np.median(bowl)) == pytest.approx(
        np.log(item.after[1]) + np.log(common.after[1]), abs=0.02
    )
    stated = draw(assemble(read_case(FOLDER / "case.toml")), 2048, 1).factors.loss[:, index]
    assert np.ptp(np.log(bowl)) < 0.5 * np.ptp(np.log(stated))


def test_it_says_that_a_test_corrected_it(made):
    cautions = read_case_text(made, "c.toml").cautions
    assert any("Corrected by a ground test: readings" in words for words in cautions)
    assert not any("was changed after" in words for words in cautions)


def test_a_case_that_was_changed_since_is_cautioned_about(made):
    changed = made.replace('climb_pitch = "12 deg"', 'climb_pitch = "13 deg"')
    cautions = read_case_text(changed, "c.toml").cautions
    assert any("was changed after its ground test" in words for words in cautions)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('key = "fittings"', 'key = "fitting"', "no uncertain input of the case"),
        ("learned = [", "learned = [2.0, ", "not a list of numbers from -1 to 1"),
        ("learned = [", "learned = [0.5, ", "weights for"),
        ('key = "fittings"', 'key = "friction"', "a key stands twice"),
        ("directions = [", "directions = [0.9, ", "weights for"),
        ("text_sha256", "text_sha", "did you mean"),
        ("value = ", "value = 1", "plausible"),
    ],
)
def test_a_section_that_does_not_fit_is_one_clear_line(made, old, new, words):
    section = made.index(MARK)
    broken = made[:section] + made[section:].replace(old, new, 1)
    if old == "value = ":
        broken = made[:section] + re.sub(r"\{value = -?", "{value = 99", made[section:], count=1)
    with pytest.raises(InputError, match=words):
        read_case_text(broken, "c.toml")


def test_directions_that_are_not_orthonormal_are_refused(made):
    section = made.index("[[calibration.input]]")
    at = made.index("directions = [", section) + len("directions = [")
    end = made.index(",", at)
    broken = made[:at] + "0.9" + made[end:]
    with pytest.raises(InputError, match="orthonormal"):
        read_case_text(broken, "c.toml")


def test_a_case_is_not_calibrated_twice(made, fitted):
    with pytest.raises(DomainError, match="holds a ground test already"):
        calibrated_text(made, fitted)


@pytest.mark.parametrize("sort", ["tank", "outlet", "line", "node", "part"])
def test_what_a_test_taught_follows_a_thing_that_is_renamed(made, sort):
    """Everything of one sort gets another name; the corrected system stays the same system."""
    before = assemble(read_case_text(made, "c.toml")).network.placed
    text = made
    found = [path for path in paths(tomllib.loads(text)) if sort_of(path) == sort]
    assert found
    for number, path in enumerate(found):
        text = edited(text, renamed(tomllib.loads(text), path, f"thing {number}: of #{number}"))
    after = assemble(read_case_text(text, "c.toml")).network.placed
    assert [p.loss_factor for p in after] == [p.loss_factor for p in before]
    assert [p.bore_factor for p in after] == [p.bore_factor for p in before]
    assert any(p.loss_factor != 1.0 for p in after)


def test_its_source_names_the_runs_that_do_not_fit(text, fitted):
    first, *rest = fitted.runs
    odd = replace(fitted, runs=(replace(first, suggests=("an air lock",)), *rest))
    name = first.reading.name
    assert f'source = "readings; does not fit: run {name}"' in calibrated_text(text, odd)

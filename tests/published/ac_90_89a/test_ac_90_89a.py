"""The example of AC 90-89A and its three pass marks for one engine.

Read; see source.toml. AC 90-89B is the later edition.
"""

from pathlib import Path

import pytest

from flowsim.files.case.reader import read_case_text
from tests.support.published_units import POUND

CASE = Path(__file__).with_name("case.toml")
POUNDS_PER_GALLON = 6.0


@pytest.fixture(scope="module")
def pounds_per_hour() -> float:
    """Required flow of the case [lb/h]."""
    engine = read_case_text(CASE.read_text(encoding="utf-8"), CASE.name).engine
    return engine.burn * engine.factor * 3600.0 / POUND


def test_the_mass_comes_out(pounds_per_hour):
    assert pounds_per_hour == pytest.approx(82.5, rel=1e-12)


def test_the_page_cuts_or_rounds_what_it_derives(pounds_per_hour):
    by_volume = pounds_per_hour / POUNDS_PER_GALLON
    assert by_volume == pytest.approx(13.75, rel=1e-12)
    assert int(10 * by_volume) / 10 == 13.7  # cut, not rounded
    by_minute = pounds_per_hour / 60
    assert by_minute == pytest.approx(1.375, rel=1e-12)
    assert round(by_minute, 1) == 1.4
    with_pump = pounds_per_hour / 1.5 * 1.25 / POUNDS_PER_GALLON
    assert round(with_pump, 1) == 11.5


def test_its_marks_for_one_engine_differ():
    # 13.7 gal/h, and by the page's own note 1.4 lb/min x 60/6.
    by_the_note = 1.4 * 60 / POUNDS_PER_GALLON
    assert by_the_note == pytest.approx(14.0)
    assert by_the_note / 13.7 > 1.02


def test_a_volume_mark_is_too_easy_on_a_hot_day(pounds_per_hour):
    # 5.85 to 5.9 lb/US gal on a hot day (FAA handbook, read): folder gallon_weight.
    hot = [pounds_per_hour / weight for weight in (5.9, 5.85)]
    assert hot == pytest.approx([13.98, 14.10], abs=0.005)
    assert [volume / 13.75 - 1 for volume in hot] == pytest.approx([0.017, 0.026], abs=5e-4)

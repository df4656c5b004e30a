"""How sayings are told: places and their forms, in the units that are chosen."""

import math

import pytest

from flowsim.document.words import telling
from flowsim.document.words.telling import all_told, capital, once_told, told
from flowsim.measures import choice_for, chosen
from flowsim.studies.saying import NOTHING, Saying, each_of, run_on, saying


@pytest.fixture
def words(monkeypatch):
    """Give a catalogue of one's own."""

    def use(**texts: str) -> None:
        monkeypatch.setattr(telling, "CATALOGUE", texts)
        telling._places.cache_clear()

    yield use
    telling._places.cache_clear()


@pytest.mark.parametrize(
    ("form", "value", "metric", "us"),
    [
        ("length.0", 0.254, "254 mm", "10.0 in"),
        ("bore.4g", 0.009525, "9.525 mm", "0.375 in"),
        ("volume.1", 0.003785411784, "3.8 L", "1.00 US gal"),
        ("temperature.0", 288.15, "15 degC", "59 degF"),
        ("flow.4gspan", (1e-5, 2e-5), "36 to 72 L/h", "9.51 to 19.02 US gal/h"),
        ("deg.1", math.radians(12.34), "12.3", "12.3"),
        ("signed_deg.1", math.radians(12.34), "+12.3", "+12.3"),
        ("percent.0", 0.456, "46", "46"),
        ("share", 0.9996, "99.9", "99.9"),
        ("ratio", -0.5, "none", "none"),
        ("ratio", math.nan, "no result", "no result"),
        ("min.1", 90.0, "1.5", "1.5"),
        ("d", 3, "3", "3"),
        ("list", ("a", "b"), "a, b", "a, b"),
        ("quoted_and", ("a", "b"), '"a" and "b"', '"a" and "b"'),
        ("capital", "no word", "No word", "No word"),
    ],
)
def test_a_form_shows_its_value_in_the_chosen_units(words, form, value, metric, us) -> None:
    words(key=f"{{value:{form}}}")
    for system, shown in (("metric", metric), ("us", us)):
        with chosen(choice_for(system)):
            assert told(saying("key", value=value)) == shown


def test_sayings_hold_sayings_names_and_nothing(words) -> None:
    words(outer="{inner}: {name}{none}", inner="within")
    assert told(saying("outer", inner=saying("inner"), name="x {y}", none=None)) == "within: x {y}"


def test_a_number_without_a_form_is_refused(words) -> None:
    words(key="{value}")
    with pytest.raises(TypeError, match="form"):
        told(saying("key", value=1.5))


def test_a_name_is_told_as_it_is_and_nothing_is_lost(words) -> None:
    words(a="same", b="same")
    assert told("name") == "name"
    assert all_told((saying("a"), saying("b"))) == ("same", "same")
    assert once_told((saying("a"), saying("b"), "same")) == ("same",)
    assert capital(saying("a")) == "Same"


def test_parts_are_put_together() -> None:
    assert told(run_on("a", ", b")) == "a, b"
    assert told(each_of(["a", "b"])) == "a; b"
    assert each_of([]) == NOTHING


def test_a_saying_is_never_text_by_itself() -> None:
    with pytest.raises(TypeError, match="told"):
        str(saying("water.correct"))
    with pytest.raises(TypeError, match="told"):
        f"{saying('water.correct')}"


def test_equal_sayings_are_one() -> None:
    assert saying("k", a=1.0) == Saying("k", (("a", 1.0),))
    assert len({saying("k", a="b"), saying("k", a="b")}) == 1
    assert saying("k", a="b").get("a") == "b"

"""Flight profiles read from text: what is filled in, and every mistake with its line."""

import math
from pathlib import Path

import pytest

from flowsim.errors import InputError
from flowsim.files.case.reader import read_case, read_case_text
from flowsim.files.readings.profile_file import read_profile, read_profile_text
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.profile import Profile

CASE = Path(__file__).parents[4] / "cases" / "four-outlets" / "case.toml"
PHASE = (
    '[[phase]]\nname = "a"\nduration = "5 min"\npitch = "3 deg"\npower = 0.5\nselector = "left"\n'
)


@pytest.fixture(scope="module")
def system() -> FuelSystem:
    return read_case(CASE)


def mistakes(text: str, system: FuelSystem) -> list[str]:
    try:
        read_profile_text(text, "f.toml", system, is_case=False)
    except InputError as error:
        return [str(mistake) for mistake in error.mistakes]
    return []


def test_bundled_profile_reads(system: FuelSystem) -> None:
    profile = read_profile(CASE.parent / "flight.toml", system, is_case=False)
    assert [phase.name for phase in profile.phases][:2] == ["taxi", "climb"]
    assert profile.phases[0].airspeed == 0.0
    assert profile.phases[1].burn == pytest.approx(system.engine.burn)
    assert "nvented" in (CASE.parent / "flight.toml").read_text(encoding="utf-8")
    turn = next(phase for phase in profile.phases if phase.name == "turn")
    assert turn.turning
    assert turn.lean == pytest.approx(math.radians(30.0))


def test_what_is_not_given_is_filled_in_and_said(system: FuelSystem) -> None:
    profile: Profile = read_profile_text(PHASE, "f.toml", system, is_case=False)
    phase = profile.phases[0]
    assert phase.airspeed == system.flight.climb_speed
    assert phase.altitude == system.flight.pressure_altitude
    assert phase.temperature == system.temperatures[0]
    words = " ".join(profile.assumptions)
    for item in ("altitude", "speed", "temperature", "start"):
        assert item in words
    assert dict(profile.start)["left"] == pytest.approx(0.08774, abs=1e-4)


def test_a_phase_without_a_temperature_keeps_that_of_the_phase_before(system: FuelSystem) -> None:
    warm = PHASE + 'temperature = "31 degC"\n'
    text = PHASE + warm.replace('"a"', '"b"') + PHASE.replace('"a"', '"c"')
    profile = read_profile_text(text, "f.toml", system, is_case=False)
    first, warm_one, last = (phase.temperature for phase in profile.phases)
    assert first == system.temperatures[0]
    assert warm_one == last == pytest.approx(304.15)
    assert any('that of the phase before, "b"' in words for words in profile.assumptions)


def test_phases_may_stand_in_the_case_itself(system: FuelSystem) -> None:
    text = CASE.read_text(encoding="utf-8") + "\n" + PHASE
    assert read_case_text(text, "case.toml").title == system.title
    profile = read_profile_text(text, "case.toml", system, is_case=True)
    assert [phase.name for phase in profile.phases] == ["a"]


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("5 min", "0 min", 3, "no duration"),
        ("5 min", "-5 min", 3, "at least zero"),
        ("5 min", "300", 3, "unit"),
        ('"left"', '"lefft"', 6, 'did you mean "left"?'),
        ('"left"', '"middle"', 6, "no selector position"),
        ('selector = "left"\n', "", 1, "position is missing"),
        ("power = 0.5", "power = 1.5", 5, "from 0 to 1"),
        ("power = 0.5\n", "", 1, "neither power nor burn"),
        ("power = 0.5", 'power = 0.5\nburn = "3 L/h"', 6, "keep one"),
        ("power = 0.5", 'power = 0.5\nbank = "5 deg"\nroll = "5 deg"', 7, "keep bank"),
        ("power = 0.5", 'power = 0.5\nparked = true\nspeed = "50 kt"', 7, "parked"),
        ("power = 0.5", 'power = 0.5\nparked = true\nbank = "5 deg"', 7, "write it as roll"),
        ("power = 0.5", 'power = 0.5\ntemperature = "90 degC"', 6, "temperature"),
        ("power = 0.5", 'power = 0.5\nbegin = "3 min"', 6, "out of order"),
        ("power = 0.5", "power = 0.5\nfoo = 1", 6, "unknown key"),
        ("power = 0.5", 'power = 0.5\nspeed = "195 kt"', 6, "is faster than"),
        ("power = 0.5", 'burn = "1e6 kg/h"', 5, "more than 2 times the burn at full power"),
        ("power = 0.5", 'burn = "900 L/h"', 5, "correct it, or write power instead"),
    ],
)
def test_mistakes_name_their_line(
    system: FuelSystem, old: str, new: str, line: int, words: str
) -> None:
    found = mistakes(PHASE.replace(old, new), system)
    assert len(found) == 1
    assert found[0].startswith(f"f.toml:{line}: ")
    assert words in found[0]
    assert "; " in found[0]


def test_phases_out_of_order(system: FuelSystem) -> None:
    first = PHASE.replace("power", 'begin = "0 min"\npower')
    second = PHASE.replace('"a"', '"b"').replace("power", 'begin = "5 min"\npower')
    assert mistakes(first + second, system) == []
    found = mistakes(second + first, system)
    assert len(found) == 2
    assert all("out of order" in mistake for mistake in found)


@pytest.mark.parametrize(
    ("start", "words"),
    [
        ('tank = "left"\nquantity = "100 L"', 'write at most "87.7 L"'),
        ('tank = "lift"\nquantity = "10 L"', 'did you mean "left"?'),
        ('tank = "left"\nquantity = "-1 L"', "zero"),
        ('tank = "left"', "quantity"),
    ],
)
def test_start_mistakes(system: FuelSystem, start: str, words: str) -> None:
    found = mistakes(PHASE + "[[start]]\n" + start + "\n", system)
    assert len(found) == 1
    assert words in found[0]


def test_start_given_twice(system: FuelSystem) -> None:
    one = '[[start]]\ntank = "left"\nquantity = "1 L"\n'
    assert "twice" in mistakes(PHASE + one + one, system)[0]


@pytest.mark.parametrize("text", ["", 'title = "x"\n', "phase = 3\n", "x = [[[", "[[phase]]\n"])
def test_nothing_to_fly(system: FuelSystem, text: str) -> None:
    assert mistakes(text, system)


def test_too_long_a_flight(system: FuelSystem) -> None:
    found = mistakes(PHASE.replace("5 min", "40 h") * 2, system)
    assert any("48 h" in mistake for mistake in found)

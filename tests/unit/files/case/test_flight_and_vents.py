"""What a case says of speeds, the take-off run and the vents: filled in, taken or refused."""

from collections.abc import Callable

import pytest

from flowsim.errors import Mistake
from flowsim.files.case.reader import read_case_text
from flowsim.files.case.starter import starter_text
from flowsim.system.fuel_system import FuelSystem

Read = Callable[[str], list[Mistake]]
KNOT = 1852.0 / 3600.0


def default(system: FuelSystem, item: str) -> tuple[str, str]:
    """Value and note of what was filled in."""
    (entry,) = [p for p in system.provenance if p.item == item and p.origin == "default"]
    return entry.value, entry.note


def on_line(text: str, words: str) -> int:
    return text[: text.index(words)].count("\n") + 1


class TestFlight:
    def test_speed_and_acceleration_not_stated_are_assumed_and_listed(self, two_tanks):
        system = read_case_text(two_tanks, "case.toml")
        assert system.flight.level_speed is None
        assert system.flight.top_speed == pytest.approx(120 * KNOT)
        assert default(system, "flight, level_speed") == (
            "120 kt",
            "twice the climb speed, no source",
        )
        assert system.flight.acceleration is None
        assert system.flight.run_acceleration == pytest.approx(0.3 * 9.80665)
        assert default(system, "flight, acceleration") == ("0.3 g0", "common practice, no source")

    def test_stated_they_are_taken_and_not_listed(self, two_tanks):
        text = two_tanks.replace(
            'climb_speed = "60 kt"',
            'climb_speed = "60 kt"\nlevel_speed = "105 kt"\nacceleration = "0.2 g0"',
        )
        system = read_case_text(text, "case.toml")
        assert system.flight.top_speed == pytest.approx(105 * KNOT)
        assert system.flight.run_acceleration == pytest.approx(0.2 * 9.80665)
        assert not [
            p
            for p in system.provenance
            if p.item in ("flight, level_speed", "flight, acceleration")
        ]

    @pytest.mark.parametrize(
        ("old", "new", "item", "problem", "remedy"),
        [
            (
                'climb_speed = "60 kt"', 'climb_speed = "60 kt"\nlevel_speed = "55 kt"',
                "flight, level_speed", "is less than the climb speed, 60 kt", "top speed in level",
            ),
            (
                'climb_speed = "60 kt"', 'climb_speed = "60 kt"\nlevel_speed = "250 kt"',
                "flight, level_speed", "is faster than 194 kt", '"115 kt"',
            ),
            (
                'climb_speed = "60 kt"', 'climb_speed = "220 kt"\nlevel_speed = "190 kt"',
                "flight, climb_speed", "is faster than 194 kt", '"65 kt"',
            ),
            (
                'climb_speed = "60 kt"', 'climb_speed = "60 m/s"',
                "flight, level_speed", "is missing", '"115 kt"',
            ),
            (
                'climb_speed = "60 kt"', 'climb_speed = "60 kt"\nacceleration = "-0.3 g0"',
                "flight, acceleration", "not a plausible acceleration", '"0.3 g0"',
            ),
        ],
    )  # fmt: skip
    def test_mistakes(self, two_tanks, mistakes: Read, old, new, item, problem, remedy):
        text = two_tanks.replace(old, new)
        assert text != two_tanks
        found = [mistake for mistake in mistakes(text) if mistake.item == item]
        assert len(found) == 1
        assert problem in found[0].problem
        assert remedy in found[0].remedy
        key = item.split(", ")[1]
        assert found[0].line == on_line(text, f"{key} = " if f"{key} = " in text else "[flight]")

    def test_the_starter_states_both_and_the_ground_attitude(self):
        system = read_case_text(starter_text("x"), "x.toml")
        assert system.flight.level_speed is not None
        assert system.flight.acceleration is not None
        assert system.routing.ground is not None


class TestVents:
    @pytest.mark.parametrize(
        ("vent", "numbers", "words"),
        [
            ('{ kind = "forward" }', (0.0, -0.3, 0.6), "0, band -0.3 to 0.6"),
            ('{ kind = "flush" }', (-0.5, -1.0, 0.0), "-0.5, band -1 to 0"),
            ('{ kind = "cap" }', (-0.5, -1.0, 0.0), "-0.5, band -1 to 0"),
            ('{ kind = "unknown" }', (-0.5, -1.0, 0.0), "-0.5, band -1 to 0"),
        ],
    )
    def test_usual_bands_have_a_width_and_say_that_they_have_no_source(
        self, two_tanks, vent, numbers, words
    ):
        text = two_tanks.replace('{ kind = "cap", group = "both" }', vent)
        system = read_case_text(text, "case.toml")
        made = system.tanks[0].vent
        assert (made.pressure_coefficient, made.coefficient_low, made.coefficient_high) == numbers
        value, note = default(system, 'tank "left", vent, pressure_coefficient')
        assert value == words
        assert "no source" in note
        assert made.coefficient_low < made.coefficient_high

    def test_a_stated_forward_vent_keeps_a_band(self, two_tanks):
        stated = '{ kind = "forward", pressure_coefficient = 0 }'
        text = two_tanks.replace('{ kind = "cap", group = "both" }', stated)
        vent = read_case_text(text, "case.toml").tanks[0].vent
        assert (vent.coefficient_low, vent.coefficient_high) == (-0.25, 0.0)

    @pytest.mark.parametrize(
        ("vent", "key", "problem"),
        [
            ("band = [-0.4, -0.4]", "band", "without width"),
            ("band = [-0.4, 0.3]", "band", "would credit ram"),
            (
                "pressure_coefficient = { value = -0.3, from = \"measured\", accuracy = 0 }",
                "pressure_coefficient, accuracy", "zero",
            ),
        ],
    )  # fmt: skip
    def test_what_claims_to_know_the_vent_exactly_is_refused(
        self, two_tanks, mistakes: Read, vent, key, problem
    ):
        text = two_tanks.replace('{ kind = "cap", group = "both" }', f'{{ kind = "cap", {vent} }}')
        found = mistakes(text)
        assert [mistake.item for mistake in found] == [f'tank "left", vent, {key}']
        assert problem in found[0].problem
        assert found[0].remedy
        assert found[0].line == on_line(text, vent)


class TestGroups:
    LEFT = 'vent = { kind = "cap", group = "both" }'
    RIGHT = 'fill_factor = 0.95\nunusable = "1 US_gal"'

    def grouped(self, text: str, right: str, left: str = LEFT) -> str:
        changed = text.replace(self.LEFT, left).replace(self.RIGHT, f"{right}\n{self.RIGHT}")
        assert changed != text
        return changed

    def test_the_same_vent_twice_is_one_airspace(self, two_tanks, mistakes: Read):
        text = self.grouped(two_tanks, self.LEFT)
        assert mistakes(text) == []
        tanks = read_case_text(text, "case.toml").tanks
        assert tanks[0].vent == tanks[1].vent

    @pytest.mark.parametrize(
        "right",
        [
            'vent = { kind = "forward", group = "both" }',
            'vent = { kind = "flush", group = "both" }',
            'vent = { kind = "cap", group = "both", pressure_coefficient = -0.2 }',
            'vent = { kind = "cap", group = "both", band = [-0.9, -0.1] }',
        ],
    )
    def test_different_vents_in_one_group_are_a_mistake(self, two_tanks, mistakes: Read, right):
        text = self.grouped(two_tanks, right)
        (found,) = mistakes(text)
        assert found.item == 'tank "right", vent'
        assert found.line == on_line(text, right)
        assert 'tank "left" in the same group "both"' in found.problem
        assert "one airspace has one pressure" in found.problem
        assert "the same vent for both" in found.remedy

    def test_a_group_named_after_another_tank_is_that_tank_s(self, two_tanks, mistakes: Read):
        text = self.grouped(
            two_tanks, 'vent = { kind = "cap", group = "left" }', 'vent = { kind = "forward" }'
        )
        (found,) = mistakes(text)
        assert found.item == 'tank "right", vent'

    def test_an_unreadable_vent_is_one_mistake(self, two_tanks, mistakes: Read):
        right = 'vent = { kind = "cap", group = "both", pressure_coefficient = "abc" }'
        assert len(mistakes(self.grouped(two_tanks, right))) == 1
        left = self.LEFT.replace(" }", ', pressure_coefficient = "abc" }')
        assert len(mistakes(self.grouped(two_tanks, self.LEFT, left))) == 1

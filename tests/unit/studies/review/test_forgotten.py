"""What is likely forgotten: a caution each, with the item, how much and what to do."""

import re
from dataclasses import replace
from functools import cache

import pytest

from flowsim.document.words.telling import all_told, told
from flowsim.files.case.reader import read_case
from flowsim.network.assembly import assemble
from flowsim.physics.tank.surface import capacity_of
from flowsim.studies.adequacy.study import judge
from flowsim.studies.review.forgotten import forgotten
from flowsim.system.parts import Pipe
from tests.support.draining import plain_line
from tests.support.report_cases import CASES
from tests.support.value_cases import ONE, TWO, read

BOWL = '  { part = "sediment bowl", name = "bowl", bore = "7.5 mm" },\n'
DESCENT, DESCENT_BURN = 'descent_pitch = "-4 deg"\n', 'descent_burn = "6 L/h"\n'
PARTS = 'parts = [{ part = "ball valve", name = "centre fitting" }]\n'
TUBE = 'tube = "3/8 in x 0.035 in"'
POSITIONS = 'positions = { left = ["port"], right = ["starboard"], off = [] }'


@cache
def found(text: str, *changes: tuple[str, str]) -> tuple[str, ...]:
    return all_told(forgotten(assemble(read(text, *changes))))


def only(text: str, *changes: tuple[str, str]) -> str:
    (words,) = found(text, *changes)
    return words


@pytest.mark.parametrize("text", [ONE, TWO])
def test_a_whole_case_has_none(text):
    assert found(text) == ()


def test_a_descent_that_is_left_out_is_told_first():
    """Either of what it needs: then the descent is not judged, and that is said."""
    without_pitch, without_burn = (DESCENT, ""), (DESCENT_BURN, "")
    one = only(ONE, without_pitch)
    assert one.startswith("The descent is not judged: descent_pitch in [flight] not stated.")
    assert "descent_burn in [engine] not stated" in only(ONE, without_burn)
    both = found(ONE, without_pitch, without_burn, (PARTS, ""))
    assert "descent_pitch in [flight] and descent_burn in [engine]" in both[0]
    assert both[1].startswith('Line "centre down"')


def test_they_come_first():
    result = judge(read(ONE, (PARTS, "")), nominal=True)
    assert told(result.cautions[0]).startswith('Line "centre down"')


class TestParts:
    def test_a_line_without_any_part(self):
        words = only(ONE, (PARTS, ""))
        assert words.startswith('Line "centre down" has no part at all')
        # An elbow of K 1.5 + 1000/Re in 7.75 mm at 27 L/h: (1.5 + 0.6) x 1.3 mm.
        assert re.search(r"elbow .* costs \d+\.\d mm", words)
        assert "list" in words

    def test_a_piece_of_tube_is_no_fitting(self):
        piece = 'parts = [{ part = "hose", length = "100 mm", bore = "8 mm" }]\n'
        assert "has no part at all" in only(ONE, (PARTS, piece))

    def test_no_strainer_or_bowl(self):
        words = only(ONE, (BOWL, ""))
        assert 'tank "centre"' in words
        assert "no strainer or bowl" in words
        assert re.search(r"bowl costs \d+ mm", words)

    @pytest.mark.parametrize(
        "part",
        [
            '  { part = "filter", cv = 1 , bore = "7 mm" },\n',
            '  { part = "screen", area = "20 cm2", mesh = "60 /in", wire = "0.19 mm" },\n',
        ],
    )
    def test_a_filter_or_a_screen_will_do(self, part):
        assert found(ONE, (BOWL, part)) == ()

    def test_a_bowl_in_one_of_two_lines_is_not_enough(self):
        moved = (
            '{ part = "elbow 90", name = "left fitting", bore = "7 mm" }',
            '{ part = "sediment bowl", name = "bowl", bore = "7 mm" }',
        )
        words = only(TWO, (BOWL, ""), moved)
        assert 'tank "right"' in words
        assert 'tank "left"' not in words


class TestBores:
    def test_a_bore_that_is_a_tubes_outside(self):
        words = only(ONE, (TUBE, 'bore = "3/8 in"'))
        assert 'Line "centre down": bore 9.525 mm' in words
        assert "outside diameter of 3/8 x 0.035 in tube" in words
        assert "7.747 mm inside" in words
        # (9.525/7.747)^4.75 = 2.67
        assert "2.7 times" in words

    def test_so_in_metric_tube(self):
        assert "outside diameter of 10 x 1 mm tube" in only(ONE, (TUBE, 'bore = "10 mm"'))

    def test_a_measured_inside_is_not(self):
        assert found(ONE, (TUBE, 'bore = "7.75 mm"')) == ()

    def test_hose_is_named_by_its_bore(self):
        assert found(ONE, ('hose_bore = "8.7 mm"', 'hose_bore = "10 mm"')) == ()

    def test_a_fitting_with_the_outside_of_its_lines_tube(self):
        changed = (
            'bore = "7 mm" }]\n\n[[line]]\nname = "right',
            'bore = "3/8 in" }]\n\n[[line]]\nname = "right',
        )
        words = only(TWO, changed)
        assert "left fitting" in words
        assert "outside diameter" in words


class TestJoins:
    def test_an_outlet_joined_to_nothing(self):
        more = (
            '[[tank.outlet]]\nname = "rear"',
            '[[tank.outlet]]\nname = "front"\nat = ["1160 mm", "0 mm", "1480 mm"]\nbore = "7 mm"\n'
            '[[tank.outlet]]\nname = "rear"',
        )
        words = only(ONE, more)
        assert 'Outlet "front" of tank "centre" is joined to no line' in words
        assert "plug" in words

    def test_a_port_that_no_position_opens(self):
        spare = (
            (
                "[[selector]]",
                '[[line]]\nname = "left spare"\nfrom = "left.front"\nto = "selector"\n'
                'tube = "3/8 in x 0.035 in"\nmaterial = "aluminium tube"\nstraight = true\n'
                'parts = [{ part = "straight union" }]\n[[selector]]',
            ),
            (
                '[[tank.outlet]]\nname = "rear"',
                '[[tank.outlet]]\nname = "front"\nat = ["1160 mm", "-200 mm", "1480 mm"]\n'
                'bore = "7 mm"\n[[tank.outlet]]\nname = "rear"',
            ),
            ('starboard = "right down" }', 'starboard = "right down", spare = "left spare" }'),
        )
        words = only(TWO, *spare)
        assert 'No position opens port "spare" of selector "selector"' in words
        assert 'line "left spare"' in words

    def test_tanks_that_no_position_isolates(self):
        both = 'positions = { both = ["port", "starboard"], off = ["port", "starboard"] }'
        words = found(TWO, (POSITIONS, both), ('judged = ["left", "right"]', 'judged = ["both"]'))
        (joined,) = (item for item in words if "joined in every position" in item)
        assert 'Tanks "left" and "right"' in joined
        assert "Parked" in joined
        assert re.search(r"1 deg of slope moves fuel until .* differ by \d+ mm", joined)

    def test_tanks_joined_past_the_selector_though_one_alone_feeds(self):
        base = read(TWO)
        names = [f"{tank.name}.{tank.outlets[0].name}" for tank in base.tanks]
        pipe = Pipe(name="cross", length=2.0, bore=0.008, roughness=1.5e-6)
        cross = plain_line("cross", *names, pipe, bore=0.008)
        crossed = replace(base, lines=(*base.lines, cross))
        words = [
            w for w in all_told(forgotten(assemble(crossed))) if "joined in every position" in w
        ]
        assert len(words) == 1

    def test_a_one_way_valve_isolates(self):
        valve = '{ part = "one-way valve", name = "flap", cracking = "100 Pa", kv = 1 }'
        fitting = '{ part = "elbow 90", name = "left fitting", bore = "7 mm" }'
        both = 'positions = { both = ["port", "starboard"] }'
        words = found(
            TWO,
            (POSITIONS, both),
            ('judged = ["left", "right"]', 'judged = ["both"]'),
            (fitting, f"{fitting}, {valve}"),
        )
        assert not [item for item in words if "joined in every position" in item]

    def test_a_header_below_its_tank_is_not_such_a_pair(self):
        assert found(HEADER) == ()


JUDGED_LEFT = ('judged = ["left", "right"]', 'judged = ["left"]')
HEADER = (
    ONE.replace(
        "[[junction]]",
        '[[tank]]\nname = "header"\nshape = "box"\n'
        'corners = [["1300 mm", "0 mm", "430 mm"], ["1500 mm", "100 mm", "600 mm"]]\n'
        'unusable = "0.2 L"\nleast_takeoff = "2.5 L"\nvent = { kind = "forward" }\n'
        '[[tank.outlet]]\nname = "top"\nat = ["1310 mm", "50 mm", "590 mm"]\nbore = "8 mm"\n'
        '[[tank.outlet]]\nname = "bottom"\nat = ["1310 mm", "50 mm", "431 mm"]\nbore = "8 mm"\n'
        "[[junction]]",
        1,
    )
    .replace('to = "floor"', 'to = "header.top"')
    .replace('[[junction]]\nname = "floor"\nat = ["1350 mm", "50 mm", "430 mm"]\n', "")
    .replace('from = "floor"', 'from = "header.bottom"')
)


class TestPositions:
    def test_a_position_named_left_that_feeds_from_the_right(self):
        crossed = 'positions = { left = ["starboard"], right = ["port"], off = [] }'
        words = found(TWO, (POSITIONS, crossed))
        assert len(words) == 2
        assert 'Position "left" feeds from tank "right"' in words[0]
        assert re.search(r"\d+ mm to the right", words[0])
        assert 'Position "right" feeds from tank "left"' in words[1]

    def test_a_tank_named_left_that_lies_right(self):
        point = r'"(-?\d+(?:\.\d+)?) mm", "(-?\d+(?:\.\d+)?) mm", "(-?\d+(?:\.\d+)?) mm"\]'
        mirrored = re.sub(point, lambda m: f'"{m[1]} mm", "{-float(m[2]):g} mm", "{m[3]} mm"]', TWO)
        words = found(mirrored)
        assert words
        assert any('"left"' in item and "right" in item for item in words)

    def test_a_position_that_is_not_judged(self):
        words = only(TWO, JUDGED_LEFT)
        assert 'Position "right" of selector "selector" feeds the engine and is not judged' in words
        assert "judged" in words.split(";")[-1]


class TestBurn:
    """A decimal point that slipped: ten times too little comforts everywhere."""

    def with_burn(self, times: float) -> tuple[str, ...]:
        system = read(ONE)
        engine = replace(system.engine, burn=times * system.engine.burn)
        return all_told(forgotten(assemble(replace(system, engine=engine))))

    @pytest.mark.parametrize("times", [0.5, 1.0, 5.0])
    def test_a_usual_burn_is_not_told(self, times):
        assert self.with_burn(times) == ()

    @pytest.mark.parametrize("times", [0.1, 0.01, 100.0])
    def test_a_burn_far_outside_is_told_first_with_its_power(self, times):
        (words,) = self.with_burn(times)
        burn = times * read(ONE).engine.burn
        # 0.55 lb/hp/h: so many horsepower for the pounds of fuel in an hour.
        power = burn * 3600.0 / 0.45359237 / 0.55
        (shown,) = re.findall(r"\(([\d.]+) hp\)", words)
        assert float(shown) == pytest.approx(power, rel=1e-3)
        assert "confirm it, its unit and its decimal point" in words

    def test_full_tanks_that_outlast_any_flight_are_told(self):
        """A tenth of a large engine's burn is that of a small one: the tanks give it away."""
        system = read_case(CASES / "four-outlets" / "case.toml")
        litres = sum(capacity_of(tank.shape) or 0.0 for tank in system.tanks)
        burn = litres * system.fuel.density_15 / (20.0 * 3600.0)
        engine = replace(system.engine, burn=burn)
        found = all_told(forgotten(assemble(replace(system, engine=engine))))
        assert any("would last 20 hours" in words for words in found)


class TestPlaces:
    def test_a_length_far_above_its_points(self):
        words = only(ONE, (TUBE, f'{TUBE}\nlength = "3 m"'))
        assert 'Line "centre down": its length of 3000 mm' in words
        assert re.search(r"is \d\.\d times that of its points", words)

    def test_a_little_longer_is_told_by_the_reader(self):
        longer = read(ONE, (TUBE, f'{TUBE}\nlength = "1.4 m"'))
        assert forgotten(assemble(longer)) == ()
        (said,) = (
            words for words in all_told(longer.cautions) if "more than its points give" in words
        )
        assert "a hump or dip of up to" in said
        assert "give the points where it turns" in said

    @pytest.mark.parametrize(
        ("old", "new"),
        [
            ('via = [["420 mm", "50 mm"', 'via = [["420 mm", "60 in"'),
            ('at = ["1350 mm", "50 mm", "430 mm"]', 'at = ["1350 mm", "60 in", "430 mm"]'),
        ],
    )
    def test_a_coordinate_in_another_unit(self, old, new):
        words = [item for item in found(ONE, (old, new)) if "unit" in item]
        assert len(words) == 1
        assert re.search(r"(station|buttline) \d+ mm ", words[0])
        assert "in and mm" in words[0]

    def test_a_datum_far_away_is_no_other_unit(self):
        shifted = re.sub(
            r'"(-?\d+) mm", ("-?\d+ mm", "-?\d+ mm"\])',
            lambda m: f'"{int(m[1]) + 20000} mm", {m[2]}',
            ONE,
        )
        assert shifted != ONE
        assert found(shifted) == ()

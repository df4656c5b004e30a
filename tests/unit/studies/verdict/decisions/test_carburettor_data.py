"""A plain "adequate" needs the needle and seat; without it only the open line is judged."""

from functools import cache

import pytest

from flowsim.document.words.telling import all_told, told
from flowsim.errors import InputError
from flowsim.files.case.what_if_words import parse_what_if
from flowsim.studies.adequacy.study import judge
from flowsim.studies.result import AdequacyResult, Decision, Topic, Verdict
from flowsim.studies.sizing.study import size_lines
from flowsim.studies.uncertainty.study import uncertainty
from flowsim.studies.what_if.study import what_if
from tests.support.value_cases import ONE, read

SEAT = 'parts = [{ part = "needle and seat", bore = "4 mm" }]'
BOWL = ONE[ONE.index("[engine.carburettor]") : ONE.index("[flight]")]
SCREEN = '{ part = "screen", area = "2 cm2", mesh = "60 /in", wire = "0.19 mm" }'
OPEN = "adequate, open line only"


@cache
def judged(*changes: tuple[str, str]) -> AdequacyResult:
    return judge(read(ONE, *changes), nominal=True)


def decision(result: AdequacyResult) -> Decision:
    (found,) = (item for item in result.decisions if item.topic is Topic.CARBURETTOR_DATA)
    return found


def pressure(more: str = "") -> tuple[str, str]:
    return BOWL, f'[engine.carburettor]\nleast_inlet_pressure = "1 kPa"\n{more}'


class TestWords:
    def test_a_seat_by_its_bore_gives_the_plain_word(self):
        assert judged().verdict_words == "adequate"
        assert not [d for d in judged().decisions if d.topic is Topic.CARBURETTOR_DATA]

    @pytest.mark.parametrize(
        "seat",
        [
            '{ part = "needle and seat", bore = "4 mm", cv = 0.5 }',
            '{ part = "needle and seat", bore = "4 mm", discharge_coefficient = 0.6 }',
            '{ part = "needle and seat", bore = "4 mm", density = "720 kg/m3", '
            'measured = [{ flow = "20 L/h", drop = "300 Pa" }, '
            '{ flow = "60 L/h", drop = "2700 Pa" }] }',
        ],
    )
    def test_so_does_a_coefficient_or_a_measured_flow(self, seat):
        assert judged((SEAT, f"parts = [{seat}]")).verdict_words == "adequate"

    @pytest.mark.parametrize(
        "change",
        [
            (BOWL, ""),
            (SEAT, f"parts = [{SCREEN}]"),
            (SEAT, 'parts = [{ part = "valve", kv = 2, bore = "6 mm" }]'),
            pressure(),
        ],
        ids=["no carburettor", "screen only", "some valve", "pressure alone"],
    )
    def test_without_a_seat_only_the_open_line_is_said(self, change):
        result = judged(change)
        assert result.verdict is Verdict.ADEQUATE
        assert result.verdict_words == OPEN
        found = decision(result)
        assert found.verdict is Verdict.ADEQUATE
        assert found.open_line_only
        assert "seat" in told(found.remedy)
        assert "measure" in told(found.remedy)

    def test_the_open_line_leaves_out_the_suction_at_the_vents(self):
        assert "suction at the vents" in told(decision(judged((BOWL, ""))).found)

    def test_a_worse_verdict_keeps_its_word(self):
        thin = ('tube = "3/8 in x 0.035 in"', 'tube = "3/16 in x 0.049 in"')
        result = judged((BOWL, ""), thin)
        assert result.verdict is not Verdict.ADEQUATE
        assert result.verdict_words == result.verdict.value

    def test_leaving_the_seat_out_never_gives_a_better_word(self):
        order = ["not adequate", "cannot tell", OPEN, "adequate"]
        for bore in ("1.2 mm", "2 mm", "4 mm"):
            stated = judged((SEAT, SEAT.replace("4 mm", bore))).verdict_words
            assert stated in order
        # The seat that decides is not forgiven by leaving it out: the word stays below adequate.
        assert judged((SEAT, SEAT.replace("4 mm", "1.2 mm"))).verdict_words == "not adequate"
        assert order.index(judged((BOWL, "")).verdict_words) < order.index("adequate")


class TestPressureOfTheMaker:
    def test_a_promised_flow_at_that_pressure_gives_the_plain_word(self):
        result = judged(pressure('flow_at_least_pressure = "30 L/h"\n'))
        assert result.verdict_words == "adequate"

    def test_a_promise_of_less_than_the_required_flow_does_not(self):
        result = judged(pressure('flow_at_least_pressure = "20 L/h"\n'))  # 27 L/h are required
        assert result.verdict_words == OPEN
        assert "14.3 kg/h" in told(decision(result).found)  # 20 L/h at 715 kg/m3

    def test_a_promise_without_a_pressure_is_a_mistake(self):
        with pytest.raises(InputError, match=r"case.toml:\d+: .*flow_at_least_pressure"):
            read(ONE, ('bowl_pressure = "0 Pa"', 'flow_at_least_pressure = "30 L/h"'))


def test_every_output_says_what_adequate_means_here():
    words = " ".join(all_told(judged((BOWL, "")).cautions))
    assert OPEN in words
    assert OPEN not in " ".join(all_told(judged().cautions))


class TestOtherCommands:
    """Every study that gives a verdict says the same words as the check."""

    def words(self, text_change: tuple[str, str] | None) -> list[str]:
        system = read(ONE, *([text_change] if text_change else []))
        whats = what_if(system, (parse_what_if("cold-fuel"),), nominal=True, draws=2, seed=1)
        spread = uncertainty(system, draws=64, seed=1, samples=0)
        sizes = size_lines(system, ("centre down",), (), nominal=True, draws=2, seed=1)
        return [
            *(row.verdict_words for row in whats.rows),
            spread.verdict_words,
            *(item.verdict_words for item in sizes.sizes if item.is_present),
        ]

    def test_with_a_seat_they_say_adequate(self):
        assert set(self.words(None)) == {"adequate"}

    def test_without_one_they_say_open_line_only(self):
        assert set(self.words((BOWL, ""))) == {OPEN}

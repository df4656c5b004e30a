"""What a case says of routing, as it is read."""

import math

import pytest

from flowsim.errors import InputError
from flowsim.system.routing import Routing
from tests.support.routing_case import line, system_of

FEED = line("feed", "tank.out", "engine", [(1.0, 0.1, 0.8)])


def test_a_case_that_says_nothing_has_the_usual_values() -> None:
    found = system_of(FEED, ground="").routing
    assert found == Routing()
    assert found.wanted_margin == pytest.approx(math.radians(1.0))
    assert found.bank == pytest.approx(math.radians(30.0))
    assert found.installation("feed").supports_along is None


def test_every_key_arrives_in_si_units() -> None:
    text = FEED + (
        '[line.installation]\nsupports_at = [["2 m", "0 m", "1.5 m"]]\nsag = "1 in"\n'
        'sag_span = "20 in"\nwall_density = "1300 kg/m3"\nleast_bend_radius = "1 in"\n'
        'start_make_up = "0.5 in"\nend_make_up = "0 in"\n'
        '[routing]\nwanted_margin = "2 deg"\nbank = "45 deg"\nslip = "5 deg"\ntrim = "2 in"\n'
        'sleeve = "4 in"\n'
        '[[obstacle]]\nname = "o"\nkind = "hot part"\nradius = "1 in"\nleast = "2 in"\n'
        'points = [["1 m", "2 m", "3 m"]]\n'
        '[[crossing]]\nname = "c"\nline = "feed"\nkind = "rib"\nat = ["1 m", "0 m", "1 m"]\n'
        '[[vent_line]]\nname = "v"\ntank = "tank"\nbore = "6 mm"\n'
        'points = [["2 m", "0 m", "2.1 m"], ["2 m", "1 m", "2 m"]]\n'
    )
    found = system_of(text).routing
    assert found.ground is not None
    assert (found.ground.gear, found.ground.pitch) == ("tailwheel", pytest.approx(math.radians(11)))
    laid = found.installation("feed")
    assert laid.supports_at == ((2.0, 0.0, 1.5),)
    assert (laid.measured_sag, laid.measured_span) == pytest.approx((0.0254, 0.508))
    assert (laid.start_make_up, laid.end_make_up) == pytest.approx((0.0127, 0.0))
    assert laid.least_bend_radius == pytest.approx(0.0254)
    assert found.slip == pytest.approx(math.radians(5.0))
    assert (found.trim, found.sleeve) == pytest.approx((0.0508, 0.1016))
    assert found.stated == {"wanted_margin", "bank", "slip", "trim", "sleeve"}
    assert found.obstacles[0].radius == pytest.approx(0.0254)
    assert found.obstacles[0].least == pytest.approx(0.0508)
    assert found.crossings[0].sleeve is None
    assert found.vent_lines[0].route[1] == (2.0, 1.0, 2.0)


def test_slip_adds_two_attitudes() -> None:
    from flowsim.studies.routing.study import route_study

    result = route_study(system_of(FEED, '[routing]\nslip = "5 deg"\n'))
    assert [view.name for view in result.attitudes][-2:] == ["slip left", "slip right"]


@pytest.mark.parametrize(
    ("stated", "said"),
    [
        ('slip_time = "0 s"', "slip_time: is no time"),
        ('slip_fuel = "9000 L"', 'slip_fuel: "9000 L" is more than any tank holds'),
    ],
)
def test_a_slip_that_would_always_be_fine_is_a_mistake(stated: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        system_of(FEED, f'[routing]\nslip = "5 deg"\n{stated}\n')
    assert said in str(caught.value)

"""The fuel temperature at which the vapour margin is gone, and heat picked up at the engine."""

import math
from functools import cache

import numpy as np
import pytest

from flowsim.document.words.telling import all_told, told
from flowsim.errors import InputError
from flowsim.measures import TEMPERATURE, UnitChoice, chosen
from flowsim.network.assembly import assemble
from flowsim.physics.fuel.properties import vapour_pressure
from flowsim.reports.pages.first_screen import first_screen
from flowsim.studies.adequacy.brief import judge_briefly
from flowsim.studies.adequacy.study import judge
from flowsim.studies.delivery.heat_pickup import heat_at_the_engine
from flowsim.studies.result import AdequacyResult, Topic
from flowsim.studies.verdict.hot_fuel import boiling_temperature
from tests.support.value_cases import ONE, read

MOGAS = ('kind = "avgas 100LL"', 'kind = "motor gasoline summer"')
FEED = ('feed = "gravity"', 'feed = "gravity"\nheat_pickup = "12 K"')


@cache
def judged(*changes: tuple[str, str]) -> AdequacyResult:
    return judge(read(ONE, *changes), nominal=True)


def margins(*changes: tuple[str, str]) -> np.ndarray:
    brief = judge_briefly(read(ONE, *changes), nominal=True, draws=2, seed=1)
    return brief.swept.at_required.vapour_margin


def hottest(celsius: float) -> tuple[str, str]:
    return '"35 degC"', f'"{celsius:.4f} degC"'


class TestBoilingTemperature:
    def test_it_is_the_inverse_of_the_vapour_pressure(self):
        fuel = read(ONE, MOGAS).fuel
        kelvin = np.array([290.0, 305.5, 320.0])
        assert boiling_temperature(fuel, vapour_pressure(fuel, kelvin)) == pytest.approx(
            kelvin, abs=0.02
        )

    def test_beyond_the_fuels_range_it_is_not_known(self):
        fuel = read(ONE, MOGAS).fuel
        most = float(vapour_pressure(fuel, fuel.highest))
        found = boiling_temperature(fuel, np.array([2 * most, np.nan]))
        assert np.isposinf(found[0])
        assert np.isnan(found[1])


class TestBoilsFrom:
    def test_there_the_margin_is_gone(self):
        boils = judged(MOGAS).boils_from
        assert boils is not None
        assert 308.15 < boils < 330.0
        left = np.nanmin(margins(MOGAS, hottest(boils - 273.15)))
        assert left == pytest.approx(0.0, abs=150.0)  # density and viscosity move the pressure

    def test_it_is_told_for_information_with_its_number(self):
        result = judged(MOGAS)
        (found,) = (
            item for item in result.decisions if item.topic is Topic.VAPOUR and item.informs
        )
        assert found.informs
        assert f"boils from about {math.floor(result.boils_from - 273.15)} degC" in told(
            found.found
        )

    def test_it_is_rounded_down_in_both_units(self):
        """51.7 degC is 125.06 degF: "52 degC" would be a temperature at which it boils already."""
        with chosen(UnitChoice()):
            assert TEMPERATURE.words_down(51.7 + 273.15) == "51 degC (125 degF)"
            assert TEMPERATURE.words_down(60.0 + 273.15) == "60 degC (140 degF)"
            assert TEMPERATURE.words_down(-0.4 + 273.15) == "-1 degC (31 degF)"

    def test_it_stands_beside_the_margin_of_vapour(self):
        result = judged(MOGAS)
        (margin,) = (d for d in result.decisions if d.topic is Topic.VAPOUR and not d.informs)
        assert told(margin.figure).endswith(
            f"boils from {math.floor(result.boils_from - 273.15)} degC"
        )
        screen = first_screen(result, "case.toml", width=80, styled=False)
        assert f"boils from {math.floor(result.boils_from - 273.15)} degC" in " ".join(
            screen.split()
        )

    def test_higher_up_it_boils_sooner(self):
        high = ('pressure_altitude = "2000 m"', 'pressure_altitude = "4000 m"')
        assert judged(MOGAS, high).boils_from < judged(MOGAS).boils_from - 3.0

    def test_a_fuel_that_does_not_boil_within_its_laws_says_so(self):
        result = judged(('kind = "avgas 100LL"', 'kind = "jet kerosene"'))
        assert result.boils_from is None
        (found,) = (
            item for item in result.decisions if item.topic is Topic.VAPOUR and item.informs
        )
        assert "does not boil up to 60 degC" in told(found.found)


class TestHeatPickup:
    def test_none_stated_is_an_assumption(self):
        words = [words for words in all_told(judged(MOGAS).assumptions) if "heat_pickup" in words]
        assert len(words) == 1
        assert "0 K" in words[0]
        assert "not modelled" in words[0]
        assert not [w for w in all_told(judged(MOGAS, FEED).assumptions) if "heat_pickup" in w]

    def test_it_is_counted_on_the_lines_that_end_at_the_engine(self):
        assembly = assemble(read(ONE, MOGAS, FEED))
        kelvin = np.array([263.15, 308.15])
        fuel = assembly.system.fuel
        added = vapour_pressure(fuel, kelvin + 12.0) - vapour_pressure(fuel, kelvin)
        names = [link.name for link in assembly.network.links]
        found = heat_at_the_engine(assembly, kelvin)
        assert found[:, names.index("forward")] == pytest.approx(added)
        assert (np.delete(found, names.index("forward"), axis=1) == 0.0).all()

    def test_upstream_of_the_last_line_nothing_is_added(self):
        # Here the lowest pressure is at the tank: the margin falls by less than the heat adds.
        plain, warm = margins(MOGAS), margins(MOGAS, FEED)
        fuel = read(ONE, MOGAS).fuel
        added = vapour_pressure(fuel, 308.15 + 12.0) - vapour_pressure(fuel, 308.15)
        assert (warm <= plain).all()
        assert 0.5 * added < (plain - warm).max() < added

    def test_it_brings_the_boiling_temperature_down(self):
        fall = judged(MOGAS).boils_from - judged(MOGAS, FEED).boils_from
        assert 0.0 < fall <= 12.0 + 1e-6

    def test_no_heat_changes_nothing(self):
        warm = margins(MOGAS, ('feed = "gravity"', 'feed = "gravity"\nheat_pickup = "0 K"'))
        assert warm == pytest.approx(margins(MOGAS))

    @pytest.mark.parametrize(
        ("stated", "words"),
        [
            ('"40 K"', "its laws hold from"),
            ('"-5 K"', "heat_pickup"),
            ('"15 degC"', "heat_pickup"),
        ],
    )
    def test_what_cannot_be_meant_is_refused(self, stated, words):
        with pytest.raises(InputError, match=words):
            read(ONE, ('feed = "gravity"', f'feed = "gravity"\nheat_pickup = {stated}'))

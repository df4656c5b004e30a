"""A flight in joint draws: against a closed form in each, and against the exact integrator."""

import math
from dataclasses import replace

import numpy as np
import pytest

from flowsim.network.assembly import assemble
from flowsim.physics.air.dips import critical_dip
from flowsim.physics.fuel.properties import density
from flowsim.reports.pages.flight import flight_text
from flowsim.studies.flight.bands import followed, summed_up
from flowsim.studies.flight.drawn import DrawnPhase, FlownDraws
from flowsim.studies.flight.profile import fly
from flowsim.studies.flight.result import STARVED
from flowsim.studies.sampling.draws import BATCH, DRAWN, SEED, Draws, draw, nominal_draws
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.profile import Phase, Profile
from tests.support.draining import phase
from tests.support.systems import one_tank, two_tanks

FLOOR = 0.3
"""[m2] of the box of ``one_tank``."""
START = 0.012


def few(system: FuelSystem) -> Draws:
    return draw(assemble(system), BATCH, SEED).take(np.arange(DRAWN))


def in_level_flight(seconds: float) -> Profile:
    burn = one_tank().engine.burn
    return Profile(title="x", start=(("wing", START),), phases=(phase(seconds, burn),))


def by_hand(system: FuelSystem, draws: Draws) -> np.ndarray:
    """The box runs down at the burn until its outlet in the floor is bare: when, in each draw."""
    burn, liquid = system.engine.burn, float(density(system.fuel, 288.15))
    bare = np.maximum(FLOOR * (float(critical_dip(burn / liquid)) - draws.height), 0.0)
    return (START - bare) * liquid / burn


def test_time_to_starvation_in_every_draw_by_hand() -> None:
    system = one_tank()
    draws = few(system)
    state = followed(assemble(system), in_level_flight(7200.0), draws)
    exact = by_hand(system, draws)
    assert not state.failed.any()
    assert state.lost == pytest.approx(exact, abs=0.2)
    liquid = float(density(system.fuel, 288.15))
    left = START - exact * system.engine.burn / liquid
    assert state.left[:, 0] == pytest.approx(left, abs=2e-6)
    bands = summed_up(state)
    ordered = np.sort(exact)
    found = (bands.time.low, bands.time.middle, bands.time.high)
    assert found == pytest.approx(tuple(ordered[[12, 127, 243]]), abs=0.2)
    assert bands.starved == 1.0
    assert bands.left[0] == bands.left_in_all


def two_unequal() -> tuple[FuelSystem, Profile]:
    """Two tanks on both, of unlike levels: the outlets of one uncover before the other's."""
    system = two_tanks()
    names = [position.name for position in assemble(system).positions]
    both = next(name for name in names if "both" in name.lower())
    burn = system.engine.burn

    def stretch(seconds: float, pitch: float) -> Phase:
        level = phase(seconds, burn)
        return replace(level, selector=both, pitch=math.radians(pitch), airspeed=30.0)

    held = zip(system.tanks, (0.006, 0.009), strict=True)
    start = tuple((tank.name, volume) for tank, volume in held)
    phases = (stretch(300.0, 8.0), stretch(240.0, 0.0), stretch(7200.0, 2.0))
    return system, Profile(title="x", start=start, phases=phases)


def test_nominal_draws_end_where_the_exact_integrator_does() -> None:
    system, profile = two_unequal()
    exact = next(event for event in fly(system, profile).events if event.what == STARVED)
    assembly = assemble(system)
    state = followed(assembly, profile, nominal_draws(assembly, 2))
    assert state.lost == pytest.approx(exact.time, abs=0.5)
    assert state.left[0] == pytest.approx(exact.quantities, abs=5e-6)


def test_a_draw_does_not_hang_on_the_others() -> None:
    system, profile = two_unequal()
    assembly, draws = assemble(system), few(system)
    some = np.array([0, 17, 130, 255])
    together = followed(assembly, profile, draws.take(some))
    assert len(set(together.lost)) == len(some)
    for place, one in enumerate(some):
        alone = followed(assembly, profile, draws.take(np.array([one])))
        assert alone.lost[0] == pytest.approx(together.lost[place], abs=0.2)
        assert alone.left[0] == pytest.approx(together.left[place], abs=2e-6)


def test_burn_lost_in_more_than_5_percent_of_the_draws_is_no_pass() -> None:
    system = one_tank()
    draws = few(system)
    nominal = float(by_hand(system, nominal_draws(assemble(system), 1))[0])
    short = fly(system, in_level_flight(nominal - 10.0), draws=draws)
    assert not short.starved
    assert short.bands is not None
    assert short.bands.starved == pytest.approx((by_hand(system, draws) < nominal - 10.0).mean())
    assert short.bands.time.high == math.inf
    assert short.doubtful
    text = flight_text(short, "x")
    assert "cannot tell whether the burn is met throughout" in text
    assert "256 joint draws (5 % allowed)" in " ".join(text.split())
    assert "not in this flight" in " ".join(text.split())
    early = fly(system, in_level_flight(0.5 * nominal), draws=draws)
    assert not early.doubtful
    assert "met throughout in all of 256 joint draws" in " ".join(flight_text(early, "x").split())


def test_a_failed_draw_gives_no_result(monkeypatch: pytest.MonkeyPatch) -> None:
    real = DrawnPhase.flows_in

    def one_failed(self, draw_, mass, bare):
        found = real(self, draw_, mass, bare)
        found.failed[draw_ == 3] = True
        return found

    monkeypatch.setattr(DrawnPhase, "flows_in", one_failed)
    system = one_tank()
    result = fly(system, in_level_flight(60.0), draws=few(system))
    assert result.bands is not None
    assert result.bands.failed == 1
    assert math.isnan(result.bands.starved)
    assert math.isnan(result.bands.time.low)
    assert result.doubtful
    assert "a solve failed in 1 of 256 joint draws" in flight_text(result, "x")


def test_percentiles_of_what_is_left_are_of_the_draws_that_starve() -> None:
    lost = np.array([*np.arange(1.0, 21.0), *np.full(20, np.inf)])
    left = np.where(np.isfinite(lost), lost / 100.0, np.nan)[:, None]
    bands = summed_up(FlownDraws(left, lost, left, np.zeros(40, dtype=bool)))
    assert bands.starved == 0.5
    assert (bands.time.low, bands.time.middle, bands.time.high) == (2.0, 20.0, math.inf)
    assert (bands.left[0].low, bands.left[0].high) == (0.01, 0.19)

"""Bands of unusable fuel: against geometry by hand and brute force; the verdict that follows."""

import math
from dataclasses import replace
from functools import cache, partial

import numpy as np
import pytest

from flowsim.document.words.telling import all_told, told
from flowsim.network.assembly import assemble
from flowsim.physics.air.dips import DIP_CAUTIOUS, DIP_EXPECTED, critical_dip
from flowsim.physics.fuel.properties import density
from flowsim.studies.adequacy.study import judge
from flowsim.studies.judged.flight_attitudes import attitudes_of
from flowsim.studies.result import Topic, Verdict
from flowsim.studies.sampling.draws import BATCH, DRAWN, SEED, draw
from flowsim.studies.unusable import study
from flowsim.studies.unusable.bands import DECIDING
from flowsim.studies.unusable.drawn import DrawnTrials, band_of
from flowsim.studies.unusable.rows import (
    AIR,
    BURN,
    DOUBT,
    FLOW,
    REQUIRED,
    Trials,
    build_rows,
    emptyings,
)
from flowsim.studies.unusable.table import LimitTable
from flowsim.system.fuel_system import FuelSystem
from tests.support.systems import flight, one_tank, two_tanks

unusable_fuel = partial(study.unusable_fuel, by_attitude=False)
"""What decides; the bands by kind of attitude are looked at in ``test_groups``."""
FLOOR = 0.3
"""[m2] of the box of ``one_tank``."""
STILL = flight(climb_pitch=0.0, test_margin=0.0, acceleration=0.01)


def level_system(deviation: float = 0.003, **declared: float) -> FuelSystem:
    """A level box with its outlet in the floor; heights known to ``deviation`` [m]."""
    base = replace(one_tank(flight=STILL, test_draw=0.02), height_deviation=deviation)
    values = {"unusable": 0.01, "least_takeoff": 0.03, **declared}
    return replace(base, tanks=(replace(base.tanks[0], **values),))


def by_hand(system: FuelSystem, times: float) -> np.ndarray:
    """Floor times (dips less what the surface stands higher) in each draw [m3]; none below none."""
    burn, liquid = system.engine.burn, float(density(system.fuel, max(system.temperatures)))
    raised = draw(assemble(system), BATCH, SEED).height[:DRAWN]
    return np.maximum(FLOOR * (times * float(critical_dip(burn / liquid)) - raised), 0.0)


def test_heights_move_what_is_covered() -> None:
    # Nothing else decides in this box: its line gives the burn easily.
    system = level_system()
    tank = unusable_fuel(system).tanks[0]
    assert tank.bands is not None
    for bands, times in ((tank.bands.expected, DIP_EXPECTED), (tank.bands.cautious, DIP_CAUTIOUS)):
        exact = np.sort(by_hand(system, times))
        found = (bands.burn.low, bands.burn.middle, bands.burn.high)
        assert found == pytest.approx(tuple(exact[[12, 127, 243]]), abs=1.1e-5)
        assert bands.burn.draws == DRAWN
    # A normal law of the heights: 1.645 of its deviations at the 95th percentile.
    middle = tank.cautious.burn.quantity
    high = tank.bands.cautious.burn.high
    assert high == pytest.approx(middle + FLOOR * 1.645 * 0.003, rel=0.05)


@cache
def tables(name: str) -> tuple[LimitTable, DrawnTrials]:
    """Limits of every row on nominal values, and the trials in draws; nothing changes them."""
    system = {"two tanks": two_tanks, "one tank": one_tank}[name]()
    assembly = assemble(replace(system, height_deviation=0.002))
    table = LimitTable(assembly, attitudes_of(assembly.system), emptyings(assembly))
    return table, DrawnTrials(table.trials, draw(assembly, BATCH, SEED))


@pytest.mark.parametrize("name", ["two tanks", "one tank"])
def test_largest_limit_against_a_search_of_every_row(name: str) -> None:
    table, drawn = tables(name)
    searched = 0
    for kind, times, air in (
        (BURN, DIP_EXPECTED, AIR), (BURN, DIP_CAUTIOUS, DOUBT), (REQUIRED, DIP_CAUTIOUS, DOUBT),
    ):  # fmt: skip
        rows = np.flatnonzero(table.choose(0, kind, DECIDING, times=times))
        nominal = table.limit[rows][:, [FLOW, air]].max(axis=1)
        found = drawn.largest(rows, nominal, (FLOW, air))
        for one in (0, 101, 255):
            every = drawn.limits(rows, np.full(len(rows), one), (FLOW, air))
            assert found[one] == pytest.approx(every.max(), abs=1.1e-5)
            searched += len(rows)
    assert searched > 100


def test_the_first_row_has_no_effect() -> None:
    """Begun in the row that is least on nominal values the search ends at the same."""
    table, drawn = tables("two tanks")
    rows = np.flatnonzero(table.choose(0, BURN, DECIDING, times=DIP_CAUTIOUS))
    nominal = table.limit[rows][:, [FLOW, DOUBT]].max(axis=1)
    found = drawn.largest(rows, nominal, (FLOW, DOUBT))
    turned = drawn.largest(rows, -nominal, (FLOW, DOUBT))
    assert turned == pytest.approx(found, abs=1.1e-5)


@pytest.mark.parametrize("deviation", [0.0, 0.002, 0.005])
def test_less_certain_heights_never_lower_the_placard(deviation: float) -> None:
    def placard(of: float) -> float:
        return unusable_fuel(level_system(of)).tanks[0].unusable_placard

    assert placard(deviation) <= placard(deviation + 0.002)


@pytest.mark.parametrize(
    ("share", "verdict"), [(0.999, Verdict.CANNOT_TELL), (1.001, Verdict.ADEQUATE)]
)
def test_less_than_the_95th_percentile_is_no_pass(share: float, verdict: Verdict) -> None:
    bands = unusable_fuel(level_system()).tanks[0].bands
    assert bands is not None
    system = level_system(unusable=share * bands.cautious.burn.high)
    assert unusable_fuel(system, nominal=True).verdict is Verdict.ADEQUATE
    result = unusable_fuel(system)
    assert result.verdict is verdict
    assert bool(result.reasons) is (verdict is not Verdict.ADEQUATE)
    decided = next(item for item in judge(system).decisions if item.topic is Topic.UNUSABLE_FUEL)
    assert decided.verdict is verdict
    tank = result.tanks[0].bands
    assert tank is not None
    assert f"in {math.floor(100 * tank.cautious.burn.enough)} % of 256 joint draws" in told(
        decided.found
    )


def test_less_than_the_5th_percentile_is_not_adequate() -> None:
    """A tank read high: nominal values hold the burn, hardly any draw does."""
    system = level_system(unusable=1.05 * by_hand(level_system(0.0), DIP_EXPECTED)[0])
    assert unusable_fuel(system).verdict is Verdict.CANNOT_TELL
    bands = unusable_fuel(system).tanks[0].bands
    assert bands is not None
    low = level_system(unusable=0.9 * bands.expected.burn.low)
    assert unusable_fuel(low).verdict is Verdict.NOT_ADEQUATE


@pytest.mark.parametrize("unusable", [0.0005, 0.002, 0.004, 0.008])
@pytest.mark.parametrize("deviation", [pytest.param(0.001, marks=pytest.mark.long), 0.004])
def test_check_and_the_study_agree(unusable: float, deviation: float) -> None:
    base = replace(two_tanks(), height_deviation=deviation)
    tanks = tuple(
        replace(tank, unusable=unusable, least_takeoff=unusable + 0.002) for tank in base.tanks
    )
    system = replace(base, tanks=tanks)
    order = [Verdict.ADEQUATE, Verdict.CANNOT_TELL, Verdict.NOT_ADEQUATE]
    topics = (Topic.UNUSABLE_FUEL, Topic.LEAST_TAKEOFF_FUEL)
    said = [item.verdict for item in judge(system).decisions if item.topic in topics]
    assert unusable_fuel(system).verdict is max(said, key=order.index)


def test_a_failed_draw_gives_no_result(monkeypatch: pytest.MonkeyPatch) -> None:
    real = Trials.tried

    def one_failed(self, rows, quantity, draws=None):
        fine, solved = real(self, rows, quantity, draws)
        if draws is not None and len(solved):
            solved[0], fine[0] = False, False
        return fine, solved

    monkeypatch.setattr(Trials, "tried", one_failed)
    result = unusable_fuel(level_system())
    assert result.verdict is Verdict.CANNOT_TELL
    assert any("no result: a solve failed" in reason for reason in all_told(result.reasons))
    bands = result.tanks[0].bands
    assert bands is not None
    assert math.isnan(bands.cautious.burn.high)
    assert bands.cautious.burn.failed >= 1
    decided = next(
        item for item in judge(level_system()).decisions if item.topic is Topic.UNUSABLE_FUEL
    )
    assert decided.verdict is Verdict.CANNOT_TELL
    assert "no result" in told(decided.found)


def test_percentiles_are_limits_that_were_found() -> None:
    limits = np.arange(1.0, 257.0)
    band = band_of(limits, 244.0)
    assert (band.low, band.middle, band.high) == (13.0, 128.0, 244.0)
    assert band.enough == pytest.approx(244 / 256)
    never = band_of(np.where(limits > 200, np.inf, limits), math.nan)
    assert never.high == math.inf
    assert math.isnan(never.enough)
    assert band_of(None, 1.0).draws == 0


def test_draws_lost_are_those_of_every_row_tried() -> None:
    """Rows that are no longer asked for change nothing of which draws are lost for which tank."""
    system = two_tanks()
    assembly = assemble(system)
    ways = emptyings(assembly)
    attitudes = attitudes_of(system)
    rows = build_rows(assembly, attitudes, ways, (BURN,))
    trials = Trials(assembly, attitudes, ways, rows)
    drawn = DrawnTrials(trials, draw(assembly, 64, 7))
    criteria = (FLOW, DOUBT)
    chosen = np.flatnonzero(rows.times == DIP_CAUTIOUS)
    full = trials.at_demand(chosen, np.tile(0.5 * trials.most, (len(chosen), 1)))
    chosen = chosen[full[:, list(criteria)].all(axis=1)][::3]
    emptied = trials.emptied[rows.emptying[chosen]]
    middle = np.linspace(0.0, 0.6, drawn.count)[:, None] * trials.most
    place, draws = np.divmod(np.arange(len(chosen) * drawn.count), drawn.count)
    bad = ~drawn.fine(chosen[place], draws, middle[draws], criteria)
    expected = np.zeros((drawn.count, emptied.shape[1]), dtype=bool)
    for row, one in zip(place[bad], draws[bad], strict=True):
        expected[one] |= emptied[row]
    hard = np.arange(len(chosen)) % 5 == 0
    found, lost = drawn.lost(chosen, middle, criteria, emptied, hard)
    np.testing.assert_array_equal(lost, expected)
    assert 0 < lost.sum() < lost.size
    assert set(found) <= set(place[bad])

"""Bands of the table by attitude, against every row tried in every draw."""

import json
import math

import numpy as np
import pytest

from flowsim.files.results.unusable_json import unusable_json
from flowsim.network.assembly import assemble
from flowsim.physics.air.dips import DIP_CAUTIOUS
from flowsim.reports.pages.unusable import unusable_text
from flowsim.studies.judged.flight_attitudes import LEVEL, attitudes_of
from flowsim.studies.sampling.draws import SEED, draw
from flowsim.studies.unusable.drawn import DrawnTrials
from flowsim.studies.unusable.groups import GROUP_DRAWS, group_bands
from flowsim.studies.unusable.rows import BURN, DOUBT, FLOW, REQUIRED, emptyings
from flowsim.studies.unusable.study import unusable_fuel
from flowsim.studies.unusable.table import LimitTable
from tests.support.systems import two_tanks

HUNDREDTH = 1e-5
DRAWS = 9


@pytest.fixture(scope="module")
def table() -> LimitTable:
    assembly = assemble(two_tanks())
    return LimitTable(assembly, attitudes_of(assembly.system), emptyings(assembly))


def test_each_band_is_the_largest_limit_of_its_rows_in_every_draw(table):
    draws = draw(table.assembly, DRAWS, SEED)
    bands = group_bands(table, draws)
    drawn = DrawnTrials(table.trials, draws)
    rows, kinds = table.rows, np.array(table.attitudes.kind)
    pitch = table.attitudes.pitch[rows.attitude]
    every = np.arange(DRAWS)
    seen = 0
    for band in bands[:: max(1, len(bands) // 6)]:
        way = next(
            number
            for number, way in enumerate(table.ways)
            if table.assembly.positions[way.position].name == band.selector
            and tuple(table.assembly.system.tanks[tank].name for tank in way.tanks) == band.tanks
            and tuple(table.assembly.system.tanks[tank].name for tank in way.dry) == band.dry
        )
        here = (rows.emptying == way) & (kinds[rows.attitude] == band.kind)
        here &= rows.times == DIP_CAUTIOUS
        if band.kind == LEVEL:
            here &= (pitch < 0.0) == band.down
        for kind, found in ((BURN, band.burn), (REQUIRED, band.required)):
            mine = np.flatnonzero(here & (rows.kind == kind))
            if not len(mine):
                assert found.draws == 0
                continue
            pairs = np.repeat(mine, DRAWS), np.tile(every, len(mine))
            largest = drawn.limits(*pairs, (FLOW, DOUBT)).reshape(len(mine), DRAWS).max(axis=0)
            ordered = np.sort(largest)
            assert (found.draws, found.failed) == (DRAWS, 0)
            assert found.low == pytest.approx(ordered[0], abs=HUNDREDTH)
            assert found.high == pytest.approx(ordered[-1], abs=HUNDREDTH)
            seen += 1
    assert seen >= 4


def test_they_are_in_text_and_json_and_say_how_many_draws(table):
    system = table.assembly.system
    result = unusable_fuel(system, draws=100)
    assert {group.burn.draws for group in result.groups} == {GROUP_DRAWS}
    nothing = ((), ())
    made = json.loads(unusable_json(system, result, (), (), nothing, "case.toml", "0" * 64))
    told = " ".join(unusable_text(system, result, (), (), nothing, "case.toml").split())
    assert f"With the cautious dip in {GROUP_DRAWS} joint draws, 5th to 95th percentile:" in told
    assert len(made["by_kind_of_attitude"]) == len(result.groups)
    for shown, group in zip(made["by_kind_of_attitude"], result.groups, strict=True):
        assert shown["judged"] == group.judged
        assert shown["burn_lost_cautious"]["draws"] == GROUP_DRAWS
        assert shown["burn_lost_cautious"]["p95_l"] == pytest.approx(1e3 * group.burn.high)
        assert shown["burn_lost_cautious"]["declared_is_enough"] is None
        assert math.isnan(group.burn.enough)
    alone = unusable_fuel(system, nominal=True)
    assert alone.groups == ()
    assert "joint draws" not in unusable_text(system, alone, (), (), nothing, "case.toml")

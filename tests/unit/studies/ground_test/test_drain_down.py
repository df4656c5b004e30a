"""A drain-down: stretches that follow each other, errors they share, the bend of a closing vent."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.document.words.telling import told
from flowsim.files.case.reader import read_case
from flowsim.network.assembly import assemble
from flowsim.studies.ground_test.fit import fit
from flowsim.studies.ground_test.learn import BENDS, learn
from flowsim.studies.ground_test.mark import against_mark
from flowsim.studies.ground_test.plan import plan
from flowsim.studies.ground_test.plan_drain import explained
from flowsim.studies.ground_test.predict import run_model
from flowsim.studies.ground_test.reading_errors import drains_of, errors_of
from flowsim.studies.ground_test.runs import PRESS, STRETCH
from flowsim.studies.sampling.draws import draw
from flowsim.system.bands import Exact, Lognormal
from tests.unit.studies.ground_test_systems import (
    COEFFICIENT,
    HEAD,
    SIDE,
    bench,
    box,
    reading,
    setting,
)

CASE = Path(__file__).parents[4] / "cases" / "four-outlets" / "case.toml"
START, STEP, COUNT = 0.060, 0.006, 8
"""[m3] In the tank of 0.25 m2, and each stretch."""


def tank(band=None):
    return bench(Exact() if band is None else band, box(HEAD, HEAD + 0.4))


def stretches(count=COUNT, step=STEP, **changes):
    return tuple(
        setting(quantities=(START,), volume=step, drawn_before=number * step, **changes)
        for number in range(count)
    )


def torricelli(drawn: float) -> float:
    """Time [s] to draw an amount [m3] through h = c Q^2; closed form."""
    high = HEAD - 0.1 + START / SIDE**2
    low = high - drawn / SIDE**2
    return 2 * SIDE**2 * math.sqrt(COEFFICIENT) * (math.sqrt(high) - math.sqrt(low))


def read(times, name="D1", **changes):
    """Readings of stretches that took some times [s]."""
    return tuple(
        reading(
            float(time), f"{name}/{number + 1}", made, drain=name, container=name,
            timing=PRESS, mark=1e-5, **changes,
        )
        for number, (time, made) in enumerate(zip(times, stretches(len(times)), strict=True))
    )  # fmt: skip


def exact_times():
    marks = [torricelli(number * STEP) for number in range(COUNT + 1)]
    return np.diff(marks)


def test_stretches_follow_the_level_down():
    # Torricelli's closed form, stretch by stretch.
    model = run_model(assemble(tank()), stretches())
    assert model.seconds()[0] == pytest.approx(exact_times(), rel=3e-4)
    assert model.quantities[:, 0, 0] == pytest.approx(START - STEP * np.arange(COUNT))


def test_what_was_drawn_before_does_not_hang_on_the_order():
    made = stretches()
    some = run_model(assemble(tank()), (made[5], made[2]))
    assert some.seconds()[0] == pytest.approx(exact_times()[[5, 2]], rel=3e-4)


def test_a_mark_is_late_for_one_stretch_and_early_for_the_next():
    readings = read(exact_times())
    model = run_model(assemble(tank()), tuple(one.setting for one in readings))
    errors = errors_of(model, readings)
    seconds = np.array([one.seconds for one in readings])
    columns = [i for i, name in enumerate(errors.names) if name[0] == "mark"]
    assert len(columns) == COUNT + 1
    # In seconds each inner mark moves time from one stretch to the next; the sum stays.
    moved = errors.common[:, columns] * seconds[:, None]
    late = np.hypot(PRESS, 1e-5 * seconds / STEP)
    assert moved[:, 1:-1].sum(axis=0) == pytest.approx(np.zeros(COUNT - 1), abs=1e-12)
    assert moved[0, 0] == pytest.approx(-PRESS)
    assert moved[-1, -1] == pytest.approx(late[-1])
    assert (errors.own == STRETCH).all()
    assert sum(name[0] == "quantity_put_in" for name in errors.names) == 1


def test_a_stretch_that_is_left_out_breaks_the_chain():
    readings = read(exact_times())
    kept = readings[:3] + readings[4:]
    model = run_model(assemble(tank()), tuple(one.setting for one in kept))
    errors = errors_of(model, kept)
    marks = [i for i, name in enumerate(errors.names) if name[0] == "mark"]
    touching = (errors.common[:, marks] != 0.0).sum(axis=0)
    assert sorted(touching) == [1, 1, 1, 1, *([2] * 5)]
    assert list(drains_of(kept)) == ["D1"]


def test_many_marks_do_not_pretend_to_more_than_the_ends_know():
    # The same run read at 8 and at 2 marks: the loss is known hardly better by the inner marks.
    # With marks of their own errors it would be known twice as well.
    band = Lognormal(1.3)
    fine = read(exact_times())
    coarse = tuple(
        replace(
            fine[0],
            name=f"D1/{half + 1}",
            seconds=float(exact_times()[4 * half : 4 * half + 4].sum()),
            setting=replace(fine[0].setting, volume=4 * STEP, drawn_before=4 * half * STEP),
        )
        for half in range(2)
    )
    deviations = []
    for readings in (fine, coarse):
        model = run_model(assemble(tank(band)), tuple(one.setting for one in readings))
        found = fit(model, np.log([r.seconds for r in readings]), errors_of(model, readings))
        deviations.append(found.deviations[found.keys.index("quadratic loss loss")])
    assert 0.9 * deviations[1] < deviations[0] <= deviations[1]


@pytest.fixture(scope="module")
def clean():
    return learn(tank(Lognormal(1.3)), read(1.05 * exact_times()), draws=64)


def test_the_curve_has_flow_against_head(clean):
    (drain,) = clean.drains
    heads = [stretch.head for stretch in drain.stretches]
    middle = HEAD - 0.1 + (START - STEP * (np.arange(COUNT) + 0.5)) / SIDE**2
    assert heads == pytest.approx(middle, rel=1e-3)
    for stretch in drain.stretches:
        assert stretch.after == pytest.approx(stretch.flow, rel=0.01)
        assert stretch.expected == pytest.approx(1.05 * stretch.flow, rel=0.01)
    assert not clean.distrust


def test_single_values_give_the_times_and_draws_give_them_in_the_mean(clean):
    # The case's single values are the most likely ones; draws are made about a centre of their own.
    calibrated = assemble(clean.system)
    model = run_model(calibrated, stretches())
    wanted = 1.05 * exact_times()
    assert model.seconds()[0] == pytest.approx(wanted, rel=0.01)
    times = np.log(model.seconds(draw(calibrated, 512, 1))).mean(axis=0)
    assert times == pytest.approx(np.log(wanted), abs=0.01)
    assert clean.system.calibration.centre


def test_an_open_vent_does_not_bend_the_curve(clean):
    (vent,) = clean.drains[0].vents
    assert not vent.bends
    assert abs(vent.suction) < 3.0 * vent.deviation
    # Closed form: fall (pa - pv) V/(Vu + V) is the head, by the level there.
    assert 0.0 < vent.stops_after < COUNT * STEP
    assert "is not shut" in told(vent.words)


def closing(share):
    """Times under a vent with a share of a shut one's suction; Torricelli's law, step by step."""
    system = tank()
    model = run_model(assemble(system), stretches())
    room = 0.4 * SIDE**2 - START
    weight = float(model.situation.density[0]) * STANDARD_GRAVITY
    times = []
    for number in range(COUNT):
        drawn = np.linspace(number * STEP, (number + 1) * STEP, 201)
        level = HEAD - 0.1 + (START - drawn) / SIDE**2
        pull = share * 70e3 * drawn / (room + drawn) / weight
        times.append(np.trapezoid(np.sqrt(COEFFICIENT / (level - pull)), drawn))
    return np.array(times)


def test_a_closing_vent_is_seen_and_no_case_is_bent_to_it():
    found = learn(tank(Lognormal(1.3)), read(closing(0.04)), draws=64)
    (vent,) = found.drains[0].vents
    assert vent.bends
    drawn = COUNT * STEP
    pull = 0.04 * 70e3 * drawn / (0.4 * SIDE**2 - START + drawn) / (715.0 * STANDARD_GRAVITY)
    assert vent.suction == pytest.approx(pull, rel=0.2)
    assert found.distrust == BENDS
    assert "faster than the level explains" in told(vent.words)


def test_too_few_stretches_say_nothing_of_the_vent():
    found = learn(tank(Lognormal(1.3)), read(exact_times()[:2]), draws=64)
    (vent,) = found.drains[0].vents
    assert math.isnan(vent.suction)
    assert "fewer than three" in told(vent.words)


def test_a_drain_down_is_one_run_of_the_mark_and_counts_by_its_slowest_stretch():
    steep = math.radians(15.0)
    system = tank()
    readings = tuple(
        replace(one, setting=replace(one.setting, pitch=steep)) for one in read(exact_times())
    )
    mark = against_mark(assemble(system), readings)
    # The test quantity is 5 L: only where so little is left does a stretch count.
    assert mark.passed is None
    low = tuple(replace(one, setting=replace(one.setting, quantities=(0.050,))) for one in readings)
    mark = against_mark(assemble(system), low)
    counting = [one for one in low if 0.050 - one.setting.drawn_before <= 0.005 + 6e-4]
    assert (mark.passed is None) == (not counting)


def test_the_plan_offers_a_drain_down_and_says_what_it_stands_for():
    system = read_case(CASE)
    made = plan(system, draws=256)
    drain = made.drain
    assert drain is not None
    # From the least take-off fuel (or the test quantity) to the declared unusable fuel.
    fed = [i for i, tank in enumerate(system.tanks) if tank.name == drain.setting.position]
    (tank_fed,) = fed
    wanted = drain.setting.quantities[tank_fed] - system.tanks[tank_fed].unusable
    assert drain.drawn[-1] == pytest.approx(wanted)
    assert list(drain.expected) == sorted(drain.expected)
    assert all(
        low < middle < high
        for low, middle, high in zip(drain.low, drain.expected, drain.high, strict=True)
    )
    assert 0.3 < drain.share <= 1.0
    assert drain.enough == (drain.share >= 0.9 * drain.bucket_share)


def test_no_drain_down_is_planned_where_the_flow_may_stop_on_the_way():
    # At 15 deg the bench's outlet uncovers before the tank is down to its unusable fuel.
    assert plan(tank(Lognormal(1.3)), draws=128).drain is None


def test_what_correlated_readings_explain_is_the_closed_form():
    # y = (x + e, x + f), e and f with variance s and correlation r: share 1/(1 + s(1 + r)/2).
    generator = np.random.default_rng(4)
    x = generator.standard_normal(200_000)
    errors = 0.5 * np.array([[1.0, 0.6], [0.6, 1.0]])
    share = explained(x, np.column_stack([x, x]) + 1e-9, errors)
    assert share == pytest.approx(1.0 / (1.0 + 0.5 * 1.6 / 2.0), rel=1e-3)

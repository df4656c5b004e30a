"""The main study on small systems whose answer can be reasoned out."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.document.words.telling import all_told, told
from flowsim.network.assembly import assemble
from flowsim.network.scenarios import OPEN_LINE
from flowsim.physics.losses.fitting_catalogue import fitting
from flowsim.studies.adequacy.study import judge, loss_paths
from flowsim.studies.joint.study import joint_ratios, joint_result
from flowsim.studies.judged.cover_doubt import DEVIATIONS, cover_doubt
from flowsim.studies.judged.scenarios import CLIMB, UNUSABLE, fuel_states, scenario_table
from flowsim.studies.judged.sweep import sweep
from flowsim.studies.result import Verdict
from flowsim.studies.sampling.causes import quantile
from flowsim.studies.sampling.draws import draw
from flowsim.studies.verdict.judging import ratio_verdict
from flowsim.system.bands import Lognormal, Normal, Triangular
from flowsim.system.lines import Drain
from flowsim.system.points import Point
from tests.support.systems import BORE, flight, line, one_tank, two_tanks


def test_high_tank_is_adequate_open_line_only() -> None:
    """Without carburettor data the words never say plain adequate."""
    result = judge(one_tank(), draws=256)
    assert result.verdict is Verdict.ADEQUATE
    assert result.verdict_words == "adequate, open line only"
    assert not any(item.end == "carburettor" for item in result.scenarios)


def test_more_burn_turns_the_verdict() -> None:
    """The same system fails once the burn is raised beyond what it delivers."""
    base = one_tank()
    least = judge(base, nominal=True).lines[0]
    flow = least.least_nominal * least.required
    for factor, verdict in ((0.6, Verdict.ADEQUATE), (1.8, Verdict.NOT_ADEQUATE)):
        engine = replace(base.engine, burn=factor * flow / 1.5)
        assert judge(replace(base, engine=engine), draws=256).verdict is verdict


def test_requirement_at_the_median_cannot_be_told_and_names_a_measurement() -> None:
    """A requirement in the middle of the band: cannot tell, and what would settle it."""
    base = one_tank()
    line_ = judge(base, draws=256).lines[0]
    assert line_.least_median is not None
    engine = replace(base.engine, burn=line_.least_median * line_.required / 1.5)
    result = judge(replace(base, engine=engine), draws=256)
    assert result.verdict is Verdict.CANNOT_TELL
    assert result.settle
    assert result.lines[0].chance == pytest.approx(0.5, abs=0.08)


def test_carburettor_line_is_never_above_open_line() -> None:
    """Needle, seat and float level only take away (the bowl is not below the inlet here)."""
    lines = {told(item.name): item for item in judge(two_tanks(), draws=256).lines}
    open_line, carburettor = lines["open line, 150 %"], lines["at the carburettor, 150 %"]
    assert carburettor.least_nominal < open_line.least_nominal
    full = lines["at the carburettor, 100 %"]
    assert full.least_nominal == pytest.approx(1.5 * carburettor.least_nominal, rel=1e-12)


def test_same_seed_gives_the_same_answer() -> None:
    """Draws are seeded: two runs agree to the last bit."""
    first, second = (judge(one_tank(), draws=128, seed=7).lines[0] for _ in range(2))
    assert first == second


def test_fifth_percentile_is_below_nominal_and_median() -> None:
    """The band lies about the median, and its low end is what the verdict uses."""
    line_ = judge(one_tank(), draws=1024).lines[0]
    assert line_.least_low is not None
    assert line_.least_median is not None
    assert line_.least_high is not None
    assert line_.least_low < line_.least_median < line_.least_high
    assert line_.least_low < line_.least_nominal


def test_judged_pitches_hold_both_ends_and_every_uncovering() -> None:
    """Level and climb + 5 deg are there, and just past every uncovering an extra pitch.

    There the fuel over the outlet is less than the dip by no more than 0.02 deg of pitch make.
    """
    assembly = assemble(two_tanks())
    table = scenario_table(assembly)
    judged = table.scenarios.pitch[table.judged & (table.purpose == CLIMB)]
    assert judged.min() == 0.0
    assert judged.max() == pytest.approx(np.radians(15.0))
    swept = sweep(two_tanks())
    rows = swept.judged_rows
    some = (table.purpose[rows] == CLIMB) & (table.state[rows] == 0)
    pitch = table.scenarios.pitch[rows][some]
    bare = swept.situation.uncovered[rows][some][:, 0]
    order = np.argsort(pitch, kind="stable")
    change = np.flatnonzero(np.diff(bare[order].astype(int)))
    assert len(change)
    doubt = cover_doubt(swept.assembly, swept.situation)
    dip = doubt.bare + DEVIATIONS * np.sqrt(2.0) * swept.assembly.system.height_deviation
    under = (doubt.depth - dip)[rows][some][:, 0][order]
    for index in change:
        least = under[index + 1] if bare[order][index + 1] else under[index]
        assert -5e-4 < least <= 0.0


def test_fuel_states_are_those_of_the_rule() -> None:
    """Unusable plus draw, least take-off, one tank emptied, and the declared unusable alone."""
    states = {state.name: state for state in fuel_states(assemble(two_tanks()))}
    assert states["test quantity"].quantity == pytest.approx((0.022, 0.022))
    assert states["least take-off fuel"].quantity == (0.025, 0.025)
    assert states["left at its unusable"].quantity == pytest.approx((0.02, 0.022))
    assert states["declared unusable fuel"].purpose == UNUSABLE


def test_mirrored_tanks_give_mirrored_flows() -> None:
    """Left and right alone answer alike; both together feed half each."""
    result = judge(two_tanks(), nominal=True)
    by_key = {
        (item.selector, round(item.pitch, 9), item.fuel_state, item.end, item.temperature): item
        for item in result.scenarios
    }
    for (selector, *rest), item in by_key.items():
        if selector == "left" and item.fuel_state in ("test quantity", "least take-off fuel"):
            twin = by_key[("right", *rest)]
            assert twin.flow == pytest.approx(item.flow, rel=1e-9)
    swept = sweep(two_tanks())
    names = [link.name for link in swept.assembly.network.links]
    both = [position.name for position in swept.assembly.positions].index("both")
    rows = (swept.table.scenarios.position == both) & (swept.table.state == 0)
    flow = swept.delivery.solution.flow[rows]
    left, right = flow[:, names.index("left down")], flow[:, names.index("right down")]
    assert left == pytest.approx(right, rel=1e-8, abs=1e-12)


def test_off_delivers_nothing_and_is_not_judged() -> None:
    """The off position is drawn as no flow at all and does not count."""
    off = [item for item in judge(two_tanks(), nominal=True).scenarios if item.selector == "off"]
    assert off
    assert all(item.flow == 0.0 and not item.judged for item in off)


def test_losses_close_for_any_scenario() -> None:
    """The paths of any scenario, worked out anew, close with the head available to 1e-6 m."""
    system = two_tanks()
    result = judge(system, nominal=True)
    flowing = [item for item in result.scenarios if item.flow > 0 and item.judged]
    for item in flowing[:: max(1, len(flowing) // 25)]:
        paths = loss_paths(system, item)
        assert paths
        for path in paths:
            assert abs(path.closure) < 1e-6
            assert path.available > 0


def test_bare_outlets_on_both_ends_stop_the_flow() -> None:
    """With too little fuel to cover any outlet nothing flows, and the verdict says so."""
    base = one_tank()
    dry = replace(base.tanks[0], unusable=1e-4)
    result = judge(replace(base, tanks=(dry,), test_draw=1e-4), draws=64)
    assert result.verdict is Verdict.NOT_ADEQUATE
    assert result.deciding_scenario.flow == 0.0


def test_declared_unusable_below_computed_is_not_adequate() -> None:
    """Fuel that no outlet reaches must be declared unusable, whatever the test quantity does."""
    base = one_tank()
    low = replace(base.tanks[0], unusable=2e-4)
    result = judge(replace(base, tanks=(low,), test_draw=0.012), draws=64)
    lines = {told(item.name): item.verdict for item in result.lines}
    assert lines["open line, 150 %"] is Verdict.ADEQUATE
    assert lines["declared unusable fuel, full-power burn"] is Verdict.NOT_ADEQUATE
    assert result.verdict is Verdict.NOT_ADEQUATE


def test_air_is_drawn_when_the_tee_lies_level_with_a_bare_outlet() -> None:
    """A tee hardly below the tank: the bare leg draws air at the required flow."""
    base = two_tanks(carburettor=False)
    shallow = []
    for item in base.lines:
        if item.name.endswith(("front", "rear", "down")):
            side = item.name.split()[0]
            sign = -1 if side == "left" else 1
            tee = Point(1.72, 0.5 * sign, 1.498)
            route = [tee if tuple(p) == (1.72, 0.5 * sign, 1.3) else p for p in item.route or ()]
            shallow.append(line(item.name, item.start, item.end, route, *item.parts[1:]))
        else:
            shallow.append(item)
    nodes = tuple(
        replace(node, at=Point(node.at.station, node.at.buttline, 1.498))
        if node.name.endswith("tee")
        else node
        for node in base.nodes
    )
    engine = replace(base.engine, burn=0.016)
    system = replace(base, lines=tuple(shallow), nodes=nodes, engine=engine)
    result = judge(system, draws=64)
    drawn = [item for item in result.scenarios if item.judged and item.uncovered]
    assert any(item.air_drawn for item in drawn)
    assert result.verdict is Verdict.NOT_ADEQUATE
    limited = [item for item in drawn if item.flow < item.solved_flow]
    assert limited


def test_hump_that_may_hold_air_cannot_be_told() -> None:
    """A tall hump in a line whose flow does not clear it: cannot tell, and the hump is named."""
    base = one_tank()
    hump = line(
        "down",
        "wing.rear",
        "engine",
        [
            Point(1.69, 0, 1.4),
            Point(1.7, 0, 0.2),
            Point(1.2, 0, 1.2),
            Point(1.0, 0, 0.1),
            Point(0.5, 0, 0.4),
        ],
        fitting("elbow 90", BORE, count=2),
    )
    low = [Point(1.7, 0.0, 0.2), Point(1.0, 0.0, 0.1)]
    drains = tuple(Drain(name=f"drain {at.waterline}", at=at, reaches="down") for at in low)
    result = judge(replace(base, lines=(hump,), drains=drains), draws=64)
    assert result.verdict is Verdict.CANNOT_TELL
    deciding = result.deciding_scenario
    assert deciding.humps
    assert deciding.trapped_air_head > 0.9
    assert deciding.flow_trapped < deciding.flow


def test_line_that_only_falls_has_no_hump() -> None:
    """Falling to a low point and rising to the inlet traps water, not air."""
    result = judge(one_tank(), nominal=True)
    assert all(not item.humps for item in result.scenarios)


def test_boiling_fuel_is_not_adequate() -> None:
    """Hot winter gasoline high up boils in the line."""
    from flowsim.physics.fuel.catalogue import fuel_named

    base = one_tank(fuel=fuel_named("motor gasoline winter"), temperatures=(318.15,))
    result = judge(replace(base, flight=flight(pressure_altitude=3500.0)), draws=64)
    assert result.verdict is Verdict.NOT_ADEQUATE
    assert any("boils" in reason for reason in all_told(result.reasons))


def test_failed_solve_cannot_be_told() -> None:
    """A quantity beyond the tank gives no number, and no adequate."""
    base = one_tank()
    odd = replace(base.tanks[0], least_takeoff=10.0)
    result = judge(replace(base, tanks=(odd,)), draws=64)
    bad = [item for item in result.scenarios if not item.converged]
    assert bad
    assert all(np.isnan(item.flow) for item in bad)
    assert result.verdict is Verdict.CANNOT_TELL


@pytest.mark.parametrize(
    ("low", "high", "verdict"),
    [
        (1.0, 1.2, Verdict.ADEQUATE),
        (0.99, 1.2, Verdict.CANNOT_TELL),
        (0.5, 1.0, Verdict.CANNOT_TELL),
        (0.5, 0.999, Verdict.NOT_ADEQUATE),
        (float("nan"), 2.0, Verdict.CANNOT_TELL),
        (2.0, float("nan"), Verdict.CANNOT_TELL),
    ],
)
def test_ratio_verdict_at_its_edges(low: float, high: float, verdict: Verdict) -> None:
    """Meeting the requirement exactly is adequate; a number that is missing is not."""
    assert ratio_verdict(low, high) is verdict


def test_quantiles_are_those_of_scipy() -> None:
    """Triangular, lognormal and normal quantiles agree with scipy.stats."""
    stats = pytest.importorskip("scipy.stats")
    share = np.linspace(0.01, 0.99, 25)
    triangle = stats.triang(c=(1 - 0.6) / (1.4 - 0.6), loc=0.6, scale=0.8)
    assert quantile(Triangular(0.6, 1.0, 1.4), share) == pytest.approx(triangle.ppf(share))
    spread = stats.lognorm(s=np.log(1.8))
    assert quantile(Lognormal(1.8), share) == pytest.approx(spread.ppf(share))
    assert quantile(Normal(0.1), share) == pytest.approx(stats.norm(1, 0.1).ppf(share))


def test_selector_halves_share_one_draw() -> None:
    """Both halves of a selector are one valve: their factors are equal in every draw."""
    assembly = assemble(two_tanks())
    factors = draw(assembly, 64, 1).factors.loss
    halves = [i for i, p in enumerate(assembly.network.placed) if p.key == "selector selector"]
    assert len(halves) == 3
    for index in halves[1:]:
        assert np.array_equal(factors[:, halves[0]], factors[:, index])


def test_what_is_drawn_holds_the_least_of_all_that_is_judged() -> None:
    """In a hundred draws no judged scenario that was left out is less than the least drawn."""
    base = two_tanks(temperatures=(263.15, 311.15))
    system = replace(base, engine=replace(base.engine, burn=2.7 * base.engine.burn))
    swept = sweep(system)
    draws = draw(swept.assembly, 100, 3)
    drawn = joint_result(swept, draws)
    table = swept.table
    mine = (table.purpose == CLIMB) & (table.scenarios.end == OPEN_LINE)
    everything = joint_ratios(swept, swept.judged_rows[mine[swept.judged_rows]][::7], draws)
    least = drawn.least(mine[drawn.rows], trapped=False)
    assert 0.7 < np.median(least) < 1.5
    assert (everything.full.min(axis=1) >= least * (1 - 1e-6)).all()

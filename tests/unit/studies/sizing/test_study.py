"""Sizes and edges against closed forms, and against a case edited by hand."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from flowsim.document.words.telling import told
from flowsim.errors import DomainError
from flowsim.files.case.reader import read_case, read_case_text
from flowsim.network.assembly import assemble
from flowsim.physics.course.tube_sizes import FLARED_FITTING_BORE
from flowsim.studies.adequacy.brief import judged_table
from flowsim.studies.adequacy.study import judge
from flowsim.studies.changes.resize import (
    Size,
    resized,
    size_of,
    trade_hoses,
    trade_tubes,
    tube_mass,
)
from flowsim.studies.joint.study import joint_ratios
from flowsim.studies.judged.cover_doubt import doubtful_twins
from flowsim.studies.judged.sweep import sweep_of
from flowsim.studies.sampling.draws import nominal_draws
from flowsim.studies.sizing import inverse
from flowsim.studies.sizing.inverse import Basis
from flowsim.studies.sizing.study import clearing_flow, size_lines, without_each_part
from flowsim.studies.unusable.study import unusable_fuel
from flowsim.system.bands import Exact
from tests.unit.studies.study_systems import (
    FITTING_BORE,
    GRAVITY,
    HEAD,
    fitting_flow,
    laminar_head,
    laminar_line,
    one_fitting,
)

CASES = Path(__file__).parents[4] / "cases"
NOMINAL = Basis(draws=0, seed=1)
INCH = 0.0254


@pytest.fixture(scope="module")
def nose_high():
    return read_case(CASES / "nose-high" / "case.toml")


@pytest.fixture(scope="module")
def one_tank():
    return read_case(CASES / "one-tank" / "case.toml")


# Hagen-Poiseuille, any hydraulics text; both terms go with D^-4, so the bore is explicit.
@pytest.mark.parametrize("flow", [1e-6, 5e-6])
def test_least_bore_of_a_laminar_line(flow):
    exact = (laminar_head(flow, 1.0) / HEAD) ** 0.25
    edge = inverse.least_bore(laminar_line(0.006, flow, mouth=exact), ("line",), NOMINAL)
    assert edge.meets_above
    assert edge.value == pytest.approx(exact, rel=2e-4)  # edges are found to 1e-6 of their range


def test_least_head_of_a_laminar_line():
    flow, bore = 4e-6, 0.006
    edge = inverse.least_head(laminar_line(bore, flow), NOMINAL)
    assert HEAD + edge.value == pytest.approx(laminar_head(flow, bore), abs=2e-5)


def test_steepest_pitch_where_head_falls_with_the_cosine():
    flow, bore = 2e-6, 0.006
    needed = laminar_head(flow, bore)
    edge = inverse.steepest_pitch(laminar_line(bore, flow), NOMINAL)
    assert 0 < needed < HEAD
    assert edge.value == pytest.approx(math.acos(needed / HEAD), abs=1e-5)


def test_largest_loss_of_one_fitting():
    """Q = A sqrt(2 g H/(f K)), so f is the square of the flow to spare."""
    required = fitting_flow() / 3.0
    edge = inverse.largest_loss(one_fitting(Exact(), required), "fitting", NOMINAL)
    assert edge.value == pytest.approx(9.0, rel=1e-4)
    assert inverse.part_at(one_fitting(Exact(), required), "fitting", edge.value) == (
        f"line: K {40.0 * edge.value:.4g} + 0/Re on {1000 * FITTING_BORE:.4g} mm",
    )


def test_the_5th_percentile_asks_for_more_than_nominal_values(one_tank):
    band = Basis(draws=256, seed=3)
    for question in (
        lambda basis: inverse.least_bore(one_tank, ("forward",), basis),
        lambda basis: inverse.least_head(one_tank, basis),
    ):
        assert question(band).value > question(NOMINAL).value
    for question in (
        lambda basis: inverse.largest_loss(one_tank, "bowl", basis),
        lambda basis: inverse.steepest_pitch(one_tank, basis),
    ):
        assert question(band).value < question(NOMINAL).value


def test_an_edge_is_where_check_passes_one(one_tank):
    """The 5th percentile of a check at the edge is the requirement itself."""
    basis = Basis(draws=512, seed=5)
    edge = inverse.largest_loss(one_tank, "bowl", basis)
    from flowsim.studies.changes.changed_parts import scaled, with_part

    at = with_part(one_tank, "bowl", lambda _, part: scaled(part, edge.value))
    result = judge(at, draws=512, seed=5)
    assert min(line.least_low for line in result.lines) == pytest.approx(1.0, abs=2e-4)


def filled(system, quantity):
    tanks = tuple(replace(tank, unusable=quantity, least_takeoff=quantity) for tank in system.tanks)
    return replace(system, tanks=tanks, test_draw=0.0)


def test_least_fuel_is_where_the_outlet_is_no_longer_surely_covered(one_tank):
    edge = inverse.least_fuel(one_tank, NOMINAL)
    enough, short = filled(one_tank, edge.value + 1e-6), filled(one_tank, edge.value - 1e-5)
    assert inverse.least_ratio(enough, NOMINAL, only="climb", in_doubt=True) >= 1.0
    assert inverse.least_ratio(short, NOMINAL, only="climb", in_doubt=True) < 1.0
    assert inverse.least_ratio(short, NOMINAL, only="climb") >= 1.0  # with the outlet covered


def test_least_fuel_is_no_less_than_the_study_of_unusable_fuel_says(one_tank):
    """One tank, one quantity, two commands: the smaller figure would be believed."""
    least = inverse.least_fuel(one_tank, Basis(draws=128, seed=1)).value
    (tank,) = unusable_fuel(one_tank).tanks
    assert least >= tank.cautious.required.quantity


@pytest.mark.parametrize("name", ["four-outlets", "one-tank", "humps"])
def test_nominal_least_ratio_is_that_of_a_whole_sweep(name):
    """What is left out of it, pressures and one of two equal sides, changes no flow."""
    system = read_case(CASES / name / "case.toml")
    steep = replace(system, flight=replace(system.flight, climb_pitch=math.radians(20.0)))
    assembly = assemble(steep)
    table = judged_table(assembly)
    swept = [sweep_of(assembly, table)]
    twins = doubtful_twins(assembly, table, swept[0].situation)
    swept += [] if twins is None else [sweep_of(assembly, twins)]
    for in_doubt, some in ((False, swept[:1]), (True, swept)):
        least = min(float(one.ratio.min()) for one in some)
        trapped = min(float(one.trapped_ratio.min()) for one in some)
        found = inverse.least_ratio(steep, NOMINAL, in_doubt=in_doubt)
        assert found == pytest.approx(min(least, trapped), rel=1e-9, abs=1e-9)


@pytest.mark.long
def test_head_to_spare_is_no_more_than_every_scenario_leaves():
    """Short cuts of the draws once passed over air that is drawn at less flow but not at more."""
    system = read_case(CASES / "tandem" / "case.toml")
    assembly = assemble(system)
    swept = sweep_of(assembly, judged_table(assembly))
    edge = inverse.least_head(system, NOMINAL).value

    def least(rise: float) -> float:
        draws = nominal_draws(assembly, 1)
        moved = replace(draws, height=draws.height + rise)
        return float(joint_ratios(swept, swept.judged_rows, moved).trapped.min())

    assert least(edge) >= 1.0 - 1e-6
    assert least(edge - 2e-4) < 1.0


def test_no_edge_is_said_and_not_invented(nose_high):
    edge = inverse.least_fuel(nose_high, NOMINAL)
    assert math.isnan(edge.value)
    assert not edge.always
    assert inverse.least_head(nose_high, NOMINAL).value > 0  # head is short


def test_a_size_is_the_case_edited_by_hand(nose_high):
    """-6 tube instead of -4: tube and flared elbow in the file, the rest follows from them."""
    text = (CASES / "nose-high" / "case.toml").read_text(encoding="utf-8")
    assert text.count("1/4 in x 0.035 in") == 2
    edited = text.replace("1/4 in x 0.035 in", "3/8 in x 0.049 in")
    elbow = [line for line in edited.splitlines() if "tank elbow" in line]
    assert len(elbow) == 1
    edited = edited.replace(elbow[0], elbow[0].replace("4.37 mm", "0.297 in"))
    by_hand = read_case_text(edited, "edited.toml")
    size = next(size for size in trade_tubes() if "3/8 x 0.049" in told(size.name))
    changed = resized(nose_high, ("down", "forward"), size)
    for ours, theirs in zip(changed.system.lines, by_hand.lines, strict=True):
        assert ours.bore == pytest.approx(theirs.bore, rel=1e-9)
        for one, other in zip(ours.parts, theirs.parts, strict=True):
            if one.name != "flow sensor":  # a thing of its own: its bore stays, its Cv counts
                assert one.bore == pytest.approx(other.bore, abs=1e-6)
            for key in ("k_inf", "k_laminar", "kv", "length", "roughness"):
                if hasattr(one, key):
                    assert getattr(one, key) == pytest.approx(getattr(other, key), rel=1e-9)
    one, other = (judge(s, draws=200) for s in (changed.system, by_hand))
    assert one.lines[0].least_low == pytest.approx(other.lines[0].least_low, rel=1e-6)


def test_a_barb_that_stays_loses_more_in_a_wider_hose(one_tank):
    """The same as the case edited by hand: a barb is a contraction and an expansion."""
    text = (CASES / "one-tank" / "case.toml").read_text("utf-8")
    bowl = '{ part = "sediment bowl", name = "bowl", bore = "7.5 mm" },'
    barbs = text.replace(bowl, f'{bowl}\n{{ part = "hose barb", bore = "6 mm", count = 2 }},')
    assert barbs != text
    tried = resized(
        read_case_text(barbs, "barbs"), ("forward",), Size("11 mm", 0.011, is_hose=True)
    )
    by_hand = read_case_text(barbs.replace('hose_bore = "8 mm"', 'hose_bore = "11 mm"'), "by hand")
    assert inverse.least_ratio(tried.system, NOMINAL) == pytest.approx(
        inverse.least_ratio(by_hand, NOMINAL), rel=1e-9
    )


def test_fittings_that_follow_and_stay(nose_high):
    six = next(size for size in trade_tubes() if "3/8 x 0.035" in told(size.name))
    metric = next(size for size in trade_tubes() if "10 x 1" in told(size.name))
    hose = next(size for size in trade_hoses() if size.dash == 6)

    def elbow(size):
        system = resized(nose_high, ("down",), size).system
        return next(p for line in system.lines for p in line.parts if p.name == "tank elbow").bore

    assert elbow(six) == pytest.approx(FLARED_FITTING_BORE[6])
    assert elbow(metric) == elbow(hose) == pytest.approx(FLARED_FITTING_BORE[4], abs=1e-5)
    said = resized(nose_high, ("down",), metric)
    assert any("tank elbow" in told(item.words) for item in said.stayed)
    assert any("bend" in told(item.words) for item in said.followed)


def test_the_present_size_gives_what_check_gives(one_tank):
    found = size_lines(one_tank, ("forward",), trade_tubes()[:1], nominal=False, draws=300, seed=9)
    present = next(item for item in found.sizes if item.is_present)
    checked = judge(one_tank, draws=300, seed=9)
    assert present.least_low == pytest.approx(min(line.least_low for line in checked.lines))
    assert present.least == pytest.approx(min(line.least_nominal for line in checked.lines))
    assert present.verdict is checked.verdict


def test_wider_tube_never_gives_less_where_fittings_do_not_follow(one_tank):
    sizes = tuple(Size(f"bore {d} mm", d / 1000, is_hose=True) for d in (4, 5, 6, 8, 10))
    found = size_lines(one_tank, ("forward",), sizes, nominal=True, draws=0, seed=0)
    hoses = [item.least for item in found.sizes if not item.is_present]
    assert hoses == sorted(hoses)
    assert found.smallest_low is None
    assert found.smallest_nominal is not None


def test_where_no_size_helps_the_limit_is_named(nose_high):
    found = size_lines(nose_high, ("down", "forward"), trade_tubes(), nominal=True, draws=0, seed=0)
    assert found.smallest_nominal is None
    assert found.limit[0].part == "forward: flow sensor"
    best = max(item.least for item in found.sizes)
    assert found.limit[0].least > best
    assert found.sizes[found.limit_at].least == best


def test_a_part_taken_out_loses_nothing():
    required = fitting_flow()
    least = {item.part: item.least for item in without_each_part(one_fitting(Exact(), required))}
    assert least["line: fitting"] > 100.0


def test_mass_and_clearing_flow():
    """Mass by hand; twice Wisner's velocity in a vertical leg, 1.075 sqrt(g D): a small bore."""
    system = laminar_line(0.00775, 1e-6)
    size = next(size for size in trade_tubes() if "3/8 x 0.035" in told(size.name))
    outside, bore = 0.375 * INCH, 0.305 * INCH
    by_hand = 2700.0 * math.pi / 4 * (outside**2 - bore**2) * 0.5
    assert tube_mass(system, ("line",), size) == pytest.approx(by_hand, rel=1e-9)
    velocity = 2 * 1.075 * math.sqrt(GRAVITY * bore)
    flow = velocity * math.pi * bore**2 / 4
    assert clearing_flow(system, ("line",), bore) == pytest.approx(flow, rel=1e-9)


def test_what_is_not_there_is_refused(one_tank):
    with pytest.raises(DomainError, match='no line is called "wings"; there are "down"'):
        size_lines(one_tank, ("wings",), trade_tubes(), nominal=True, draws=0, seed=0)
    with pytest.raises(DomainError, match='no part is called "pump"'):
        inverse.largest_loss(one_tank, "pump", NOMINAL)
    with pytest.raises(DomainError, match="loss is not one number"):
        inverse.largest_loss(one_tank, "forward", NOMINAL)


def test_a_bend_too_tight_for_the_size_is_no_result(nose_high):
    found = size_lines(nose_high, ("down",), (Size("wide", 0.025),), nominal=True, draws=0, seed=0)
    wide = next(item for item in found.sizes if item.size.name == "wide")
    assert "below one bore" in wide.problem
    assert math.isnan(wide.least)
    assert not wide.meets_nominal


def test_dash_number_of_a_line(nose_high):
    assert size_of(nose_high.lines[0]).dash == 4

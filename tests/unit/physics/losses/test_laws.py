"""Loss laws of the parts: closed forms, reference library, limits, and refusals."""

import math

import fluids.fittings
import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.errors import DomainError
from flowsim.physics.losses.fitting_catalogue import CATALOGUE, fitting
from flowsim.physics.losses.fitting_laws import ORIFICE_K_LAMINAR
from flowsim.physics.losses.formed_fittings import bend, hose_barb, sudden_change
from flowsim.physics.losses.laws import (
    exit_coefficient,
    fitted_range,
    head_loss,
    outside_range,
    quadratic_and_linear,
)
from flowsim.physics.losses.measured_drop import drop_curve, evaluate
from flowsim.physics.losses.pipe_law import pipe_loss
from flowsim.physics.losses.round_bore import reynolds, velocity
from flowsim.physics.losses.woven_screen import screen_reynolds
from flowsim.system.parts import (
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    OneWayValve,
    Orifice,
    Pipe,
    QuadraticLoss,
    Screen,
)

NU, BORE = 0.65e-6, 7.75e-3
AREA = 0.25 * math.pi * BORE**2
SCREEN = Screen(
    name="s", area=1e-3, wires_per_metre=60 / 0.0254, wire_diameter=0.0075 * 0.0254,
    clear_fraction=0.2,
)  # fmt: skip


def meter(flows: tuple[float, ...], drops: tuple[float, ...], density: float = 720.0):
    return MeasuredDrop(
        name="m", kind="meter", bore=BORE, flows=flows, drops=drops, density=density
    )


def valve(**changes: float) -> FlowCoefficient:
    return FlowCoefficient(**({"name": "v", "kind": "valve", "bore": BORE, "kv": 0.3} | changes))  # type: ignore[arg-type]


def test_velocity_and_reynolds() -> None:
    flow = np.array([-AREA, 0.0, 2 * AREA])
    np.testing.assert_allclose(velocity(flow, BORE), [-1.0, 0.0, 2.0])
    np.testing.assert_allclose(reynolds(flow, BORE, NU), np.array([1.0, 0.0, 2.0]) * BORE / NU)


@pytest.mark.parametrize("Re", [10.0, 1000.0, 20000.0])
def test_fitting_is_k_velocity_heads(Re: float) -> None:
    part = MinorLoss(name="e", kind="elbow 90", bore=BORE, k_inf=1.5, k_laminar=800.0, count=3)
    speed = Re * NU / BORE
    head, _ = head_loss(part, speed * AREA, NU)
    assert head == pytest.approx(3 * (1.5 + 800.0 / Re) * speed**2 / (2 * STANDARD_GRAVITY))


def test_flow_coefficient_is_the_reference_librarys() -> None:
    # fluids 1.3.1 Kv_to_K, which rounds water to 1000 kg/m3 and its factor to 1.6e9: 0.2 %.
    quadratic, linear = quadratic_and_linear(valve())
    as_k = quadratic * 2 * STANDARD_GRAVITY * AREA**2
    assert as_k == pytest.approx(fluids.fittings.Kv_to_K(0.3, BORE), rel=2e-3)
    assert linear == 0.0
    _, linear = quadratic_and_linear(valve(k_laminar=500.0))
    assert linear == pytest.approx(500.0 / (2 * STANDARD_GRAVITY * AREA * BORE))


def test_flow_coefficient_by_its_definition() -> None:
    # IEC 60534-1: Kv m3/h of water at 1 bar.
    head, _ = head_loss(valve(), 0.3 / 3600.0, NU)
    assert head * 999.1 * STANDARD_GRAVITY == pytest.approx(1e5)
    one_way = OneWayValve(name="o", bore=BORE, cracking_pressure=100.0, kv=0.3)
    assert quadratic_and_linear(one_way) == quadratic_and_linear(valve())


def test_orifice_tends_to_cd_and_to_the_laminar_limit() -> None:
    part = Orifice(name="o", kind="seat", bore=2.5e-3, discharge_coefficient=0.65)
    area = 0.25 * math.pi * 2.5e-3**2
    head, _ = head_loss(part, 1.0, 1e-9)
    assert area * 0.65 * math.sqrt(2 * STANDARD_GRAVITY * head) == pytest.approx(1.0)
    slow = 1e-4 * NU * area / 2.5e-3  # Re 1e-4
    head, _ = head_loss(part, slow, NU)
    cd = slow / (area * math.sqrt(2 * STANDARD_GRAVITY * head))
    assert cd == pytest.approx(math.sqrt(1e-4 / ORIFICE_K_LAMINAR), rel=1e-4)


def test_orifice_at_carburettor_flows_is_plain_cd_to_half_a_percent() -> None:
    part = Orifice(name="o", kind="seat", bore=2.5e-3, discharge_coefficient=0.65)
    quadratic, _ = quadratic_and_linear(part)
    flow = 40 / 3.6e6
    assert head_loss(part, flow, NU)[0] == pytest.approx(quadratic * flow**2, rel=5e-3)


def test_stated_coefficient_and_fixed_friction_factor() -> None:
    part = QuadraticLoss(name="q", kind="stated", bore=BORE, coefficient=200.0)
    assert head_loss(part, -0.3, NU)[0] == pytest.approx(-18.0)
    pipe = Pipe(name="p", length=2.0, bore=BORE, roughness=0.0, friction_factor=0.03)
    speed = 0.4
    head, slope = pipe_loss(pipe, speed * AREA, NU)
    assert head == pytest.approx(0.03 * 2.0 / BORE * speed**2 / (2 * STANDARD_GRAVITY))
    assert slope == pytest.approx(2 * head / (speed * AREA))


def test_laminar_pipe_is_hagen_poiseuille() -> None:
    pipe = Pipe(name="p", length=2.0, bore=BORE, roughness=1.5e-6)
    flow = np.array([0.0, 1e-9, -5e-6])
    exact = 128.0 * NU * 2.0 / (math.pi * STANDARD_GRAVITY * BORE**4)
    head, slope = pipe_loss(pipe, flow, NU)
    np.testing.assert_allclose(head, exact * flow, rtol=1e-12)
    np.testing.assert_allclose(slope, exact, rtol=1e-12)


def test_dirt_on_a_screen_raises_its_speed() -> None:
    quadratic, linear = quadratic_and_linear(SCREEN)
    flow = 1e-5
    head, _ = head_loss(SCREEN, flow, NU)
    assert head == pytest.approx(quadratic * (flow / 0.2) ** 2 + linear * NU * flow / 0.2)


def test_screen_by_its_own_formula() -> None:
    # Armour and Cannon 1968 written out once more, in pressure (constants read in the abstract).
    n, d, flow, density = 60 / 0.0254, 0.0075 * 0.0254, 1e-5, 720.0
    speed, s = flow / (1e-3 * 0.2), math.sqrt(1 + (n * d) ** 2)
    opening, void, surface = 1 / n - d, 1 - math.pi / 4 * n * d * s, math.pi * n * s
    Re = speed / (NU * surface**2 * opening)
    drop = (8.61 / Re + 0.52) * density * speed**2 * 2 * d / (void**2 * opening)
    assert head_loss(SCREEN, flow, NU)[0] == pytest.approx(drop / (density * STANDARD_GRAVITY))
    assert screen_reynolds(SCREEN, -flow, NU) == pytest.approx(Re)


class TestExit:
    def test_two_when_laminar_one_when_turbulent(self) -> None:
        k, slope = exit_coefficient(np.array([0.0, 1900.0, 4000.0, 1e5]))
        np.testing.assert_allclose(k, [2.0, 2.0, 1.0, 1.0], rtol=1e-15)
        np.testing.assert_allclose(slope, 0.0, atol=1e-18)

    def test_laminar_two_is_the_energy_of_a_parabola(self) -> None:
        # u/V = 2(1 - r^2): integral of u^3 dA over V^3 A.
        r = (np.arange(200000) + 0.5) / 200000
        assert np.mean((2 * (1 - r**2)) ** 3 * 2 * r) == pytest.approx(2.0, rel=1e-9)

    def test_slope_and_rising_loss(self) -> None:
        Re = np.geomspace(1.0, 1e6, 20001)
        k, slope = exit_coefficient(Re)
        numeric = (exit_coefficient(Re * (1 + 1e-6))[0] - exit_coefficient(Re * (1 - 1e-6))[0]) / (
            2e-6 * Re
        )
        np.testing.assert_allclose(slope, numeric, atol=1e-8)
        assert np.all(2.0 + slope * Re / k > 0.6)
        assert np.all(np.diff(k) <= 0.0)

    def test_a_bad_question_gives_nan(self) -> None:
        k, slope = exit_coefficient(np.array([-1.0, np.nan, np.inf]))
        assert np.isnan(k).all()
        assert np.isnan(slope).all()


class TestMeasuredDrop:
    def test_passes_through_its_points_and_rest(self) -> None:
        curve = drop_curve(meter((1e-5, 2e-5, 5e-5), (300.0, 500.0, 4000.0)))
        drop, slope, outside = evaluate(curve, np.array([0.0, 1e-5, 2e-5, 5e-5, -2e-5]))
        np.testing.assert_allclose(drop, [0.0, 300.0, 500.0, 4000.0, -500.0])
        assert slope[0] == pytest.approx(300.0 / 1e-5)
        assert not outside.any()

    def test_a_square_law_comes_back(self) -> None:
        flows = tuple(1e-6 * i for i in (4, 6, 10, 13, 20))
        curve = drop_curve(meter(flows, tuple(3e12 * q**2 for q in flows)))
        q = np.linspace(6e-6, 60e-6, 100)  # behind the turn that follows the first reading
        drop, _, outside = evaluate(curve, q)
        np.testing.assert_allclose(drop, 3e12 * q**2, rtol=1e-12)
        assert outside.tolist() == (q > 20e-6).tolist()

    def test_one_point_falls_in_a_straight_line_and_rises_as_a_square(self) -> None:
        curve = drop_curve(meter((2e-5,), (1000.0,)))
        q = np.linspace(1e-7, 2e-5, 50)
        drop, _, _ = evaluate(curve, q)
        np.testing.assert_allclose(drop, 1000.0 * q / 2e-5, rtol=1e-12)
        assert evaluate(curve, 4e-5)[0] == pytest.approx(4000.0)

    def test_nan_is_flagged(self) -> None:
        drop, _, outside = evaluate(drop_curve(meter((1e-5,), (10.0,))), np.nan)
        assert np.isnan(drop)
        assert outside

    def test_head_is_of_its_own_liquid(self) -> None:
        head, _ = head_loss(meter((1e-5, 2e-5), (100.0, 400.0), density=998.0), 2e-5, NU)
        assert head == pytest.approx(400.0 / (998.0 * STANDARD_GRAVITY))

    @pytest.mark.parametrize(
        ("flows", "drops", "density"),
        [
            ((), (), 720.0),
            ((1e-5,), (1.0, 2.0), 720.0),
            ((1e-5, 1e-5), (1.0, 2.0), 720.0),
            ((1e-5, 2e-5), (2.0, 1.0), 720.0),
            ((0.0, 2e-5), (1.0, 2.0), 720.0),
            ((1e-5,), (0.0,), 720.0),
            ((1e-5,), (math.nan,), 720.0),
            ((1e-5,), (1.0,), 0.0),
        ],
    )
    def test_refuses_what_does_not_rise(self, flows, drops, density) -> None:
        with pytest.raises(DomainError, match='"m"'):
            drop_curve(meter(flows, drops, density))


class TestFormedFittings:
    def test_quarter_bend_of_three_bores_is_the_catalogues(self) -> None:
        part, row = bend(math.pi / 2, 3 * BORE, BORE, "b"), CATALOGUE["tube bend 90"]
        assert part.k_inf == pytest.approx(row.k_inf)
        assert part.k_laminar == pytest.approx(row.k_laminar)
        assert bend(math.pi / 2, 20 * BORE, BORE, "b").k_inf == pytest.approx(row.k_inf)

    @pytest.mark.parametrize("angle", [30.0, 45.0, 60.0, 90.0, 120.0, 180.0])
    @pytest.mark.parametrize("bores", [1.0, 1.5, 2.0, 3.0, 4.0, 5.0])
    def test_bend_is_not_below_rennels_without_the_arc(self, angle: float, bores: float) -> None:
        # Rennels and Hudson 2012 as coded in fluids 1.3.1, f 0.031 (smooth bore at Re 1e4).
        f = 0.031
        whole = fluids.fittings.bend_rounded(
            Di=BORE, angle=angle, fd=f, rc=bores * BORE, method="Rennels"
        )
        net = whole - f * math.radians(angle) * bores
        assert bend(math.radians(angle), bores * BORE, BORE, "b").k_inf > net

    @pytest.mark.parametrize(
        ("angle", "bores"), [(0.0, 3.0), (-1.0, 3.0), (3.2, 3.0), (1.0, 0.99), (1.0, math.nan)]
    )
    def test_bend_refuses(self, angle: float, bores: float) -> None:
        with pytest.raises(DomainError, match='bend "b"'):
            bend(angle, bores * BORE, BORE, "b")

    @pytest.mark.parametrize("ratio", [0.1, 0.5, 0.8, 0.95])
    def test_steps_are_the_reference_librarys(self, ratio: float) -> None:
        # fluids 1.3.1: contraction_sharp (Rennels), diffuser_sharp (Borda-Carnot).
        small = ratio * BORE
        narrowing, widening = sudden_change(BORE, small), sudden_change(small, BORE)
        assert narrowing.bore == widening.bore == small
        reference = fluids.fittings.contraction_sharp(BORE, small, method="Rennels")
        assert narrowing.k_inf == pytest.approx(reference, rel=1e-9)
        assert widening.k_inf == pytest.approx(
            fluids.fittings.diffuser_sharp(small, BORE, method="Rennels"), rel=1e-9
        )

    def test_no_step_no_loss(self) -> None:
        part = sudden_change(BORE, BORE)
        assert (part.k_inf, part.k_laminar) == pytest.approx((0.0, 0.0))

    def test_hose_barb(self) -> None:
        # Calculated: 6.4 mm barb in 9.5 mm hose costs 3.3 heads of the hose.
        part = hose_barb(9.5e-3, 6.4e-3, "barb")
        assert part.k_inf * (9.5 / 6.4) ** 4 == pytest.approx(3.3, abs=0.1)
        with pytest.raises(DomainError, match="wider than the hose"):
            hose_barb(6.4e-3, 9.5e-3, "barb")

    @pytest.mark.parametrize("bore", [0.0, -1.0, math.nan, math.inf])
    def test_impossible_bores(self, bore: float) -> None:
        with pytest.raises(DomainError, match="bore"):
            sudden_change(bore, BORE)
        with pytest.raises(DomainError, match="bore"):
            bend(1.0, 1.0, bore, "b")


class TestRanges:
    def test_catalogued_kind(self) -> None:
        Re = np.array([0.0, 1e3, 1e6, 2e6, np.nan])
        assert outside_range("elbow 90", Re).tolist() == [False, False, False, True, True]
        assert outside_range("screen", Re).tolist() == [False, False, True, True, True]
        assert outside_range("stated", Re).tolist() == [False] * 4 + [True]

    def test_fitted_range_by_part(self) -> None:
        pipe = Pipe(name="p", length=1.0, bore=BORE, roughness=0.0)
        fixed = Pipe(name="p", length=1.0, bore=BORE, roughness=0.0, friction_factor=0.02)
        orifice = Orifice(name="o", kind="seat", bore=BORE, discharge_coefficient=0.6)
        own = MinorLoss(name="x", kind="stated", bore=BORE, k_inf=1.0)
        assert fitted_range(pipe) == (0.0, 1e8)
        assert fitted_range(fitting("tee run", BORE)) == CATALOGUE["tee run"].reynolds_range
        assert fitted_range(SCREEN) == (0.0, 1e3)
        assert fitted_range(orifice) == (0.0, 1e6)
        assert [fitted_range(p) for p in (valve(), own)] == [None] * 2
        assert fitted_range(fixed) == (pytest.approx(48310, rel=1e-3), 1e8)


@pytest.mark.parametrize(
    "part",
    [
        MinorLoss(name="bad", kind="x", bore=0.0, k_inf=1.0),
        MinorLoss(name="bad", kind="x", bore=BORE, k_inf=-0.1),
        MinorLoss(name="bad", kind="x", bore=BORE, k_inf=math.nan),
        MinorLoss(name="bad", kind="x", bore=BORE, k_inf=1.0, k_laminar=-1.0),
        MinorLoss(name="bad", kind="x", bore=BORE, k_inf=1.0, count=0),
        FlowCoefficient(name="bad", kind="x", bore=BORE, kv=0.0),
        Orifice(name="bad", kind="x", bore=BORE, discharge_coefficient=0.0),
        QuadraticLoss(name="bad", kind="x", bore=BORE, coefficient=math.inf),
        OneWayValve(name="bad", bore=BORE, cracking_pressure=0.0, kv=-1.0),
        Pipe(name="bad", length=-1.0, bore=BORE, roughness=0.0),
        Pipe(name="bad", length=1.0, bore=math.nan, roughness=0.0),
        Screen(name="bad", area=1.0, wires_per_metre=1e3, wire_diameter=1e-3, clear_fraction=1.0),
        Screen(name="bad", area=0.0, wires_per_metre=1e3, wire_diameter=1e-4, clear_fraction=1.0),
        Screen(name="bad", area=1.0, wires_per_metre=1e3, wire_diameter=1e-4, clear_fraction=0.0),
        Screen(name="bad", area=1.0, wires_per_metre=1e3, wire_diameter=1e-4, clear_fraction=1.1),
    ],
)
def test_impossible_parts_are_refused_by_name(part) -> None:
    with pytest.raises(DomainError, match='"bad"'):
        head_loss(part, 1e-5, NU)


def test_parts_without_a_quadratic_form() -> None:
    for part in (meter((1e-5,), (1.0,)), Pipe(name="p", length=1.0, bore=BORE, roughness=0.0)):
        with pytest.raises(TypeError, match="no quadratic form"):
            quadratic_and_linear(part)


def test_pipe_of_unknown_roughness_gives_nan() -> None:
    pipe = Pipe(name="p", length=1.0, bore=BORE, roughness=math.nan)
    assert np.isnan(pipe_loss(pipe, 1e-5, NU)[0])

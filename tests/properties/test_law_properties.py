"""Every part's law rises strictly with flow, has a continuous slope, and is odd."""

import math
from typing import get_args

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from flowsim.constants import STANDARD_GRAVITY
from flowsim.physics.losses.fitting_catalogue import CATALOGUE, fitting
from flowsim.physics.losses.fitting_laws import WATER_DENSITY
from flowsim.physics.losses.laws import LAWS, exit_coefficient, head_loss
from flowsim.physics.losses.round_bore import reynolds, velocity
from flowsim.reports.pages.formula import worked_out
from flowsim.system.parts import (
    AnyPart,
    Exit,
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    OneWayValve,
    Orifice,
    Pipe,
    QuadraticLoss,
    Screen,
    Step,
)

BORES = st.floats(1.5e-3, 20e-3)
VISCOSITY = st.floats(0.3e-6, 2e-6)


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    """Spread evenly over the decades."""
    return st.floats(math.log(low), math.log(high)).map(math.exp)


@st.composite
def measured(draw: st.DrawFn) -> MeasuredDrop:
    flows = np.cumsum(draw(st.lists(numbers(1e-7, 1e-5), min_size=1, max_size=6)))
    drops = np.cumsum([draw(numbers(1.0, 1e4)) for _ in flows])
    return MeasuredDrop(
        name="part", kind="meter", bore=draw(BORES), flows=tuple(flows.tolist()),
        drops=tuple(drops.tolist()), density=draw(st.floats(650.0, 1000.0)),
    )  # fmt: skip


@st.composite
def screens(draw: st.DrawFn) -> Screen:
    wires = draw(st.floats(200.0, 8000.0))
    return Screen(
        name="part", area=draw(numbers(3e-5, 3e-3)), wires_per_metre=wires,
        wire_diameter=draw(st.floats(0.1, 0.55)) / wires, clear_fraction=draw(st.floats(0.02, 1.0)),
    )  # fmt: skip


NAME = st.just("part")
KIND = st.just("stated")
STRATEGIES: dict[type, st.SearchStrategy] = {
    Pipe: st.builds(
        Pipe, name=NAME, length=numbers(0.01, 20.0), bore=BORES, roughness=numbers(1e-7, 7e-5),
        friction_factor=st.none() | st.floats(0.01, 0.1), material=KIND, source=KIND,
    ),
    MinorLoss: st.builds(
        MinorLoss, name=NAME, kind=KIND, bore=BORES, k_inf=st.floats(0.01, 20.0),
        k_laminar=st.floats(0.0, 2500.0), count=st.integers(1, 6), source=KIND,
    ),
    FlowCoefficient: st.builds(
        FlowCoefficient, name=NAME, kind=KIND, bore=BORES, kv=numbers(0.01, 10.0),
        k_laminar=st.floats(0.0, 1000.0), source=KIND,
    ),
    Orifice: st.builds(
        Orifice, name=NAME, kind=KIND, bore=BORES, discharge_coefficient=st.floats(0.4, 1.0),
        source=KIND,
    ),
    Screen: screens(),
    MeasuredDrop: measured(),
    QuadraticLoss: st.builds(
        QuadraticLoss, name=NAME, kind=KIND, bore=BORES, coefficient=numbers(1e4, 1e12),
        source=KIND,
    ),
    OneWayValve: st.builds(
        OneWayValve, name=NAME, bore=BORES, cracking_pressure=st.just(0.0), kv=numbers(0.01, 10.0),
        source=KIND,
    ),
    Exit: st.builds(Exit, name=NAME, bore=BORES),
    Step: st.tuples(BORES, st.floats(0.3, 0.95), st.booleans(), st.integers(1, 4)).map(
        lambda one: Step(
            name="part", bore_from=one[0] * (1.0 if one[2] else one[1]),
            bore_to=one[0] * (one[1] if one[2] else 1.0), count=one[3],
        )
    ),
}  # fmt: skip
PARTS = [pytest.param(kind, id=kind.__name__) for kind in STRATEGIES]


def bore_of(part: AnyPart) -> float:
    return 5e-3 if isinstance(part, Screen) else part.bore


def sweep(part: AnyPart, nu: float, count: int = 1500) -> np.ndarray:
    """Flows from Re 1 to 1e6 on the part's bore."""
    return np.geomspace(1.0, 1e6, count) * nu * 0.25 * math.pi * bore_of(part)


def test_every_class_of_part_has_a_law_and_a_strategy() -> None:
    assert set(get_args(AnyPart)) == set(LAWS) == set(STRATEGIES)


@pytest.mark.parametrize("kind", PARTS)
@settings(deadline=None, max_examples=30)
@given(data=st.data())
def test_loss_rises_strictly_and_its_slope_is_positive(kind: type, data: st.DataObject) -> None:
    part, nu = data.draw(STRATEGIES[kind]), data.draw(VISCOSITY)
    for law in ("cautious", "expected"):
        flow = np.concatenate(([0.0], sweep(part, nu)))
        head, slope = head_loss(part, flow, nu, law)
        assert head[0] == 0.0
        assert slope[0] >= 0.0
        assert np.all(np.diff(head) > 0.0)
        assert np.all(slope[1:] > 0.0)


@pytest.mark.parametrize("kind", [kind for kind in PARTS if kind.id != "MeasuredDrop"])
@settings(deadline=None, max_examples=30)
@given(data=st.data())
def test_slope_is_the_derivative_and_continuous(kind: type, data: st.DataObject) -> None:
    part, nu = data.draw(STRATEGIES[kind]), data.draw(VISCOSITY)
    for law in ("cautious", "expected"):
        flow, step = sweep(part, nu), 1e-5
        up, _ = head_loss(part, flow * (1 + step), nu, law)
        down, _ = head_loss(part, flow * (1 - step), nu, law)
        _, slope = head_loss(part, flow, nu, law)
        # A kink in the slope would show whatever the step; curvature shows in proportion to it.
        np.testing.assert_allclose((up - down) / (2 * step * flow), slope, rtol=2e-4)
        _, after = head_loss(part, flow * (1 + 1e-9), nu, law)
        np.testing.assert_allclose(after, slope, rtol=1e-6)


@settings(deadline=None, max_examples=30)
@given(part=STRATEGIES[MeasuredDrop])
def test_slope_of_a_table_is_its_derivative(part: MeasuredDrop) -> None:
    knots = np.array([0.0, *part.flows, 2.0 * part.flows[-1]])
    flow = (knots[:-1, None] + np.diff(knots)[:, None] * np.linspace(0.03, 0.97, 20)).ravel()
    up, _ = head_loss(part, flow * (1 + 1e-6), 1e-6)
    down, _ = head_loss(part, flow * (1 - 1e-6), 1e-6)
    _, slope = head_loss(part, flow, 1e-6)
    np.testing.assert_allclose(
        (up - down) / (2e-6 * flow), slope, rtol=1e-6, atol=1e-5 * max(slope)
    )


@settings(deadline=None, max_examples=30)
@given(part=STRATEGIES[MeasuredDrop])
def test_slope_is_continuous_at_the_points_of_a_table(part: MeasuredDrop) -> None:
    flow = np.array(part.flows)
    _, before = head_loss(part, flow * (1 - 1e-12), 1e-6)
    _, after = head_loss(part, flow * (1 + 1e-12), 1e-6)
    np.testing.assert_allclose(before, after, rtol=1e-4)


@pytest.mark.parametrize("kind", PARTS)
@settings(deadline=None, max_examples=20)
@given(data=st.data())
def test_loss_is_odd(kind: type, data: st.DataObject) -> None:
    part, nu = data.draw(STRATEGIES[kind]), data.draw(VISCOSITY)
    flow = sweep(part, nu, 200)
    head, slope = head_loss(part, flow, nu)
    mirrored, same = head_loss(part, -flow, nu)
    np.testing.assert_array_equal(mirrored, -head)
    np.testing.assert_array_equal(same, slope)


@pytest.mark.parametrize("kind", PARTS)
@settings(deadline=None, max_examples=10)
@given(data=st.data())
def test_many_flows_at_once_are_each_flow_alone(kind: type, data: st.DataObject) -> None:
    part, nu = data.draw(STRATEGIES[kind]), data.draw(VISCOSITY)
    flow = sweep(part, nu, 12).reshape(3, 4)
    head, _ = head_loss(part, flow, nu)
    assert head.shape == (3, 4)
    alone = [float(head_loss(part, float(q), nu)[0]) for q in flow.flat]
    np.testing.assert_allclose(head.ravel(), alone, rtol=1e-14)


@pytest.mark.parametrize("kind", PARTS)
@settings(deadline=None, max_examples=20)
@given(data=st.data(), share=st.sampled_from([1.0, 0.5]))
def test_the_formula_in_words_gives_what_the_law_gives(
    kind: type, data: st.DataObject, share: float
) -> None:
    part, nu = data.draw(STRATEGIES[kind]), data.draw(VISCOSITY)
    law = LAWS[kind]
    terms = {**law.terms(part, 1.0, 1.0, math.nan), "share_of_part": share}
    if isinstance(part, OneWayValve):
        terms["share_of_part"] = share = 1.0  # it sits on a line, never in a selector
    formula = law.working(terms)
    if formula is None:
        return  # friction, steps and tables: worked out by hand in another way
    flow = float(data.draw(st.sampled_from(sweep(part, nu, 20).tolist())))
    speed = float(velocity(flow, law.bore(part)))
    known = {
        "Q": flow, "V": speed, "Re": float(law.reynolds(part, flow, nu)), "nu": nu, "rho": 720.0,
        "g0": STANDARD_GRAVITY, "rhow": WATER_DENSITY,
    }  # fmt: skip
    lines, head = worked_out(formula.lines, {**known, **dict(formula.values)})
    expected, _ = head_loss(part, flow, nu)
    cracking = law.cracking_pressure(part) / (720.0 * STANDARD_GRAVITY)
    assert head == pytest.approx(share * float(expected) + cracking, rel=1e-9)
    assert lines[-1].startswith("h = ")


@pytest.mark.parametrize("kind", CATALOGUE)
@settings(deadline=None, max_examples=5)
@given(bore=BORES, nu=VISCOSITY)
def test_every_catalogued_fitting_rises_strictly(kind: str, bore: float, nu: float) -> None:
    part = fitting(kind, bore)
    head, slope = head_loss(part, sweep(part, nu), nu)
    assert np.all(np.diff(head) > 0.0)
    assert np.all(slope > 0.0)


@settings(deadline=None, max_examples=30)
@given(bore=BORES, nu=VISCOSITY)
def test_kinetic_energy_lost_at_an_exit_rises_strictly(bore: float, nu: float) -> None:
    flow = np.geomspace(1.0, 1e6, 3000) * nu * 0.25 * math.pi * bore
    coefficient, _ = exit_coefficient(reynolds(flow, bore, nu))
    assert np.all(np.diff(coefficient * flow**2) > 0.0)


@settings(deadline=None, max_examples=30)
@given(part=STRATEGIES[Pipe], nu=VISCOSITY, wider=st.floats(1.01, 2.0))
def test_a_wider_or_shorter_pipe_never_loses_more(part: Pipe, nu: float, wider: float) -> None:
    flow = sweep(part, nu, 300)
    base, _ = head_loss(part, flow, nu)
    same = {"name": "part", "roughness": part.roughness, "friction_factor": part.friction_factor}
    broad, _ = head_loss(Pipe(length=part.length, bore=wider * part.bore, **same), flow, nu)
    short, _ = head_loss(Pipe(length=part.length / wider, bore=part.bore, **same), flow, nu)
    assert np.all(broad < base)
    assert np.all(short < base)

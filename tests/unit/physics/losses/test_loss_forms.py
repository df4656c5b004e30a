"""Parts as h = quadratic Q |Q| + linear nu Q: what is in it, what is not, and who is refused."""

import math

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.losses.laws import head_loss, quadratic_and_linear
from flowsim.physics.losses.pipe_law import pipe_loss
from flowsim.system.parts import (
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    Orifice,
    Pipe,
    QuadraticLoss,
)

BORE = 8e-3
VELOCITY_HEAD = 1.0 / (2.0 * 9.80665 * (0.25 * math.pi * BORE**2) ** 2)
"""[s2/m5] One velocity head of 8 mm."""


def test_parts_known_by_one_number_have_no_linear_term() -> None:
    stated = QuadraticLoss(name="q", kind="own", bore=BORE, coefficient=3e8)
    assert quadratic_and_linear(stated) == (3e8, 0.0)
    pipe = Pipe(name="p", length=2.0, bore=BORE, roughness=0.0, friction_factor=0.04)
    quadratic, linear = quadratic_and_linear(pipe)
    assert quadratic == pytest.approx(10.0 * VELOCITY_HEAD)  # f L/D = 0.04 x 250
    assert linear == 0.0


def test_a_flow_coefficient_adds_only_its_laminar_term() -> None:
    plain = FlowCoefficient(name="v", kind="valve", bore=BORE, kv=0.3)
    quadratic, linear = quadratic_and_linear(plain)
    more, viscous = quadratic_and_linear(
        FlowCoefficient(name="v", kind="valve", bore=BORE, kv=0.3, k_laminar=500.0)
    )
    assert (more, linear) == (quadratic, 0.0)
    # K1/Re velocity heads: K1 nu Q/(2 g A D).
    assert viscous == pytest.approx(500.0 / (2 * 9.80665 * 0.25 * math.pi * BORE**3))


def test_a_pipes_own_factor_holds_at_any_viscosity() -> None:
    pipe = Pipe(name="p", length=2.0, bore=BORE, roughness=0.0, friction_factor=0.04)
    loss, slope = pipe_loss(pipe, 1e-5, np.array([1e-7, 1e-5]))
    np.testing.assert_allclose(loss, 10.0 * VELOCITY_HEAD * 1e-10)
    np.testing.assert_allclose(slope, 20.0 * VELOCITY_HEAD * 1e-5)
    assert slope.shape == (2,)


@pytest.mark.parametrize(
    "part",
    [
        FlowCoefficient(name="tap", kind="valve", bore=0.0, kv=0.3),
        Orifice(name="tap", kind="seat", bore=-1e-3, discharge_coefficient=0.7),
        Pipe(name="tap", length=1.0, bore=0.0, roughness=0.0, friction_factor=0.03),
        Pipe(name="tap", length=-1.0, bore=BORE, roughness=0.0, friction_factor=0.03),
        MinorLoss(name="tap", kind="own", bore=BORE, k_inf=math.inf),
        MinorLoss(name="tap", kind="own", bore=BORE, k_inf=1.0, k_laminar=math.inf),
        MinorLoss(name="tap", kind="own", bore=BORE, k_inf=-0.1),
        MinorLoss(name="tap", kind="own", bore=BORE, k_inf=1.0, k_laminar=math.nan),
    ],
)
def test_an_impossible_part_is_refused_by_its_name(part) -> None:
    with pytest.raises(DomainError, match=r'^"tap": '):
        head_loss(part, 1e-5, 1e-6)


def test_a_part_without_such_a_form_is_told_by_name_and_kind() -> None:
    meter = MeasuredDrop(
        name="m", kind="own", bore=BORE, flows=(1e-5,), drops=(1.0,), density=720.0
    )
    with pytest.raises(TypeError, match=r'"m" \(MeasuredDrop\)'):
        quadratic_and_linear(meter)

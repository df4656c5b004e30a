"""Tables worked out by hand when the laws were chosen: regressions, and no proof.

What is published stands in ``tests/published``.
"""

import math

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.physics.losses.fitting_catalogue import cv_to_kv
from flowsim.physics.losses.formed_fittings import sudden_change
from flowsim.physics.losses.friction import darcy_factor
from flowsim.physics.losses.laws import head_loss, quadratic_and_linear
from flowsim.physics.losses.pipe_law import pipe_loss
from flowsim.system.parts import FlowCoefficient, Orifice, Pipe, Screen

INCH, NU = 0.0254, 0.65e-6
LITRE_PER_HOUR = 1.0 / 3.6e6


def pipe(length: float, bore: float, roughness: float = 0.0) -> Pipe:
    return Pipe(name="pipe", length=length, bore=bore, roughness=roughness)


class TestOwnTables:
    """Friction by both laws, and the loss of a metre of tube."""

    Re = np.array([1500, 2000, 2100, 2300, 2500, 2700, 3000, 3500, 4000, 5000, 10000.0])

    def test_cautious(self) -> None:
        f = [0.0427, 0.0346, 0.0392, 0.0474, 0.0462, 0.0451, 0.0437, 0.0417, 0.0401, 0.0376, 0.0312]
        np.testing.assert_allclose(darcy_factor(self.Re, 1.9e-4), f, atol=1.01e-4)

    def test_churchill(self) -> None:
        f = [0.0427, 0.0320, 0.0307, 0.0308, 0.0352, 0.0397, 0.0431, 0.0425, 0.0408, 0.0381, 0.0313]
        np.testing.assert_allclose(darcy_factor(self.Re, 1.9e-4, "expected"), f, atol=1.01e-4)

    @pytest.mark.parametrize(
        ("bore_mm", "mm_per_metre"),
        [(4.57, (60, 196, 395, 961)), (6.2, (10, 47, 93, 225)), (7.75, (4.2, 16, 32, 78)),
         (9.5, (1.8, 6.3, 12, 30)), (10.9, (1.1, 2.3, 6.5, 16))],
    )  # fmt: skip
    def test_loss_per_metre(self, bore_mm: float, mm_per_metre: tuple[float, ...]) -> None:
        flow = np.array([20.0, 40.0, 60.0, 100.0]) / 3.6e6
        head, _ = pipe_loss(pipe(1.0, 1e-3 * bore_mm, 1.5e-6), flow, 0.65e-6)
        np.testing.assert_allclose(1e3 * head, mm_per_metre, rtol=0.045)  # two digits


def test_expected_law_is_laminar_where_the_cautious_is() -> None:
    # Y. A. Cengel, J. M. Cimbala, Fluid Mechanics, Ex. 8-2 p. 350 (folder cengel_cimbala): Re 1777.
    flow = 0.9 * 0.25 * math.pi * 0.003**2
    head, _ = pipe_loss(pipe(9.0, 0.003), flow, 1.519e-6)
    assert pipe_loss(pipe(9.0, 0.003), flow, 1.519e-6, "expected")[0] == pytest.approx(
        head, rel=1e-4
    )


@pytest.mark.parametrize(
    ("seat_mm", "mm"), [(2.0, 1510), (2.5, 618), (3.0, 298), (3.5, 161), (4.0, 94), (5.0, 39)]
)
def test_needle_seats(seat_mm: float, mm: float) -> None:
    # Calculated with Cd 0.65 at 40 L/h, without the laminar term, worth 0.5 %.
    seat = Orifice(name="s", kind="seat", bore=1e-3 * seat_mm, discharge_coefficient=0.65)
    head, _ = head_loss(seat, 40 * LITRE_PER_HOUR, NU)
    assert 1e3 * head == pytest.approx(mm, rel=0.015)


@pytest.mark.parametrize(("cv", "k"), [(0.70, 15.7), (1.7, 2.7), (2.0, 1.9), (6.8, 0.17)])
def test_flow_coefficient_as_k_on_tube(cv: float, k: float) -> None:
    # Calculated with K = 0.00214 D_mm^4/Cv^2: makers' Cv as K on 7.75 mm.
    part = FlowCoefficient(name="v", kind="valve", bore=7.75e-3, kv=cv_to_kv(cv))
    area = 0.25 * math.pi * 7.75e-3**2
    assert quadratic_and_linear(part)[0] * 2 * STANDARD_GRAVITY * area**2 == pytest.approx(
        k, rel=0.04
    )


@pytest.mark.parametrize(
    ("mesh", "wire_in", "mm_3_cm2", "mm_10_cm2"),
    [(8, 0.028, 0.11, 0.02), (16, 0.018, 0.24, 0.05), (40, 0.010, 0.9, 0.23),
     (60, 0.0075, 1.7, 0.46), (100, 0.0045, 2.7, 0.74), (200, 0.0021, 4.2, 1.2)],
)  # fmt: skip
def test_screens(mesh: float, wire_in: float, mm_3_cm2: float, mm_10_cm2: float) -> None:
    # Calculated by Armour and Cannon 1968: mm at 40 L/h.
    for area, mm in ((3e-4, mm_3_cm2), (10e-4, mm_10_cm2)):
        screen = Screen(
            name="s", area=area, wires_per_metre=mesh / INCH, wire_diameter=wire_in * INCH,
            clear_fraction=1.0,
        )  # fmt: skip
        head, _ = head_loss(screen, 40 * LITRE_PER_HOUR, NU)
        assert 1e3 * head == pytest.approx(mm, rel=0.05, abs=0.005)


def test_dirty_screen() -> None:
    # Calculated: 60 mesh, 10 cm2, 60 L/h: 0.7 mm clean, 1.5 at 50 %, 4.8 at 20 %,
    # 12.8 at 10 %, 38 mm at 5 % clear.
    heads = []
    for clear in (1.0, 0.5, 0.2, 0.1, 0.05):
        screen = Screen(
            name="s", area=1e-3, wires_per_metre=60 / INCH, wire_diameter=0.0075 * INCH,
            clear_fraction=clear,
        )  # fmt: skip
        heads.append(1e3 * float(head_loss(screen, 60 * LITRE_PER_HOUR, NU)[0]))
    np.testing.assert_allclose(heads, [0.7, 1.5, 4.8, 12.8, 38], rtol=0.05)


@pytest.mark.parametrize(
    ("tube_mm", "fitting_mm", "k"),
    [(4.57, 4.37, 0.04), (6.16, 5.94, 0.03), (7.75, 7.54, 0.02), (10.92, 9.93, 0.16),
     (10.21, 9.93, 0.02)],
)  # fmt: skip
def test_straight_unions(tube_mm: float, fitting_mm: float, k: float) -> None:
    # Calculated: two square steps, K on the tube's bore.
    tube, hole = 1e-3 * tube_mm, 1e-3 * fitting_mm
    both = sudden_change(tube, hole).k_inf + sudden_change(hole, tube).k_inf
    assert both * (tube / hole) ** 4 == pytest.approx(k, abs=0.03)

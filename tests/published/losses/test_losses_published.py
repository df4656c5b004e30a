"""Losses of fittings, valves, orifices and screens against published examples and tables.

Worked examples: answers as printed in public transcriptions; the printed pages were not seen.
Tables of the project's hydraulics note are calculated, so they are regressions, not proofs.
"""

import math

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.physics.fitting_catalogue import cv_to_kv
from flowsim.physics.losses import head_loss, quadratic_and_linear, sudden_change
from flowsim.system.parts import FlowCoefficient, Orifice, Screen

INCH, NU, DENSITY = 0.0254, 0.65e-6, 720.0
LITRE_PER_HOUR = 1.0 / 3.6e6
US_GALLON_PER_HOUR = 3.785411784e-3 / 3600.0
PSI = 6894.757


def test_orifice_meter_of_cengel() -> None:
    # Y. A. Cengel, J. M. Cimbala, Fluid Mechanics, Ex. 8-10 p. 385, via a public transcription:
    # methanol 788.4 kg/m3, 0.5857 mPa s; 40 mm pipe, 30 mm hole, Cd 0.61, 110 mm of mercury
    # (13 600): 3.09e-3 m3/s. The meter's velocity of approach is 1/(1 - beta^4).
    hole = Orifice(name="o", kind="orifice", bore=0.03, discharge_coefficient=0.61)
    head, _ = head_loss(hole, 3.09e-3, 5.857e-4 / 788.4)
    measured = 0.110 * (13600.0 / 788.4 - 1.0) / (1.0 - (30.0 / 40.0) ** 4)
    assert head == pytest.approx(measured, rel=2 * 0.0017)  # 3.09 is rounded to 0.17 %


@pytest.mark.parametrize(
    ("seat_mm", "mm"), [(2.0, 1510), (2.5, 618), (3.0, 298), (3.5, 161), (4.0, 94), (5.0, 39)]
)
def test_needle_seats_of_the_note(seat_mm: float, mm: float) -> None:
    # Note 2.5 (calculated): Cd 0.65 at 40 L/h. The note leaves out the laminar term, worth 0.5 %.
    seat = Orifice(name="s", kind="seat", bore=1e-3 * seat_mm, discharge_coefficient=0.65)
    head, _ = head_loss(seat, 40 * LITRE_PER_HOUR, NU)
    assert 1e3 * head == pytest.approx(mm, rel=0.015)


@pytest.mark.parametrize(
    ("cv", "us_gallons_per_hour", "psi"),
    [(0.27, 15, 0.6), (0.27, 30, 2.4), (0.39, 30, 1.2), (0.39, 60, 4.8), (0.48, 40, 1.4)],
)
def test_flow_sensors_of_the_data_sheets(cv: float, us_gallons_per_hour: float, psi: float) -> None:
    # Makers' data sheets (read): pressure drop at a flow, on petrol or alike; the note turns them
    # into Cv of two digits, so 2 x 2 %.
    sensor = FlowCoefficient(name="m", kind="meter", bore=6e-3, kv=cv_to_kv(cv))
    head, _ = head_loss(sensor, us_gallons_per_hour * US_GALLON_PER_HOUR, NU)
    assert head * DENSITY * STANDARD_GRAVITY / PSI == pytest.approx(psi, rel=0.06)


@pytest.mark.parametrize(("cv", "k"), [(0.70, 15.7), (1.7, 2.7), (2.0, 1.9), (6.8, 0.17)])
def test_flow_coefficient_as_k_on_tube(cv: float, k: float) -> None:
    # Note 2.2 (calculated with K = 0.00214 D_mm^4/Cv^2): makers' Cv as K on 7.75 mm.
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
def test_screens_of_the_note(
    mesh: float, wire_in: float, mm_3_cm2: float, mm_10_cm2: float
) -> None:
    # Note 2.4 (calculated by Armour and Cannon 1968, constants from memory): mm at 40 L/h.
    for area, mm in ((3e-4, mm_3_cm2), (10e-4, mm_10_cm2)):
        screen = Screen(
            name="s", area=area, wires_per_metre=mesh / INCH, wire_diameter=wire_in * INCH,
            clear_fraction=1.0,
        )  # fmt: skip
        head, _ = head_loss(screen, 40 * LITRE_PER_HOUR, NU)
        assert 1e3 * head == pytest.approx(mm, rel=0.05, abs=0.005)


def test_dirty_screen_of_the_note() -> None:
    # Note 2.4 (calculated): 60 mesh, 10 cm2, 60 L/h: 0.7 mm clean, 1.5 at 50 %, 4.8 at 20 %,
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
def test_straight_unions_of_the_note(tube_mm: float, fitting_mm: float, k: float) -> None:
    # Note 2.1 (calculated): two square steps, K on the tube's bore.
    tube, hole = 1e-3 * tube_mm, 1e-3 * fitting_mm
    both = sudden_change(tube, hole).k_inf + sudden_change(hole, tube).k_inf
    assert both * (tube / hole) ** 4 == pytest.approx(k, abs=0.03)


def test_sharp_entrance_of_an_infinite_tank() -> None:
    # Rennels and Hudson 2012: 0.57 for a sharp flush entrance (as documented in fluids 1.3.1).
    assert sudden_change(10.0, 1e-3).k_inf == pytest.approx(0.57, abs=0.001)
